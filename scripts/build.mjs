import { prepareBuild } from './support/fresh.mjs'

console.log(prepareBuild() ? 'Built.' : 'The build is up to date.')
