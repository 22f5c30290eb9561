import { prepareClient } from './support/fresh.mjs'

console.log(prepareClient() ? 'Made the database client.' : 'The database client is up to date.')
