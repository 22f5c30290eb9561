// npm run third-party: writes THIRD-PARTY.md anew, what others wrote and this app runs with, from the packages' own files.
import { writeFileSync } from 'node:fs'
import { thirdParty } from './support/third-party'

writeFileSync('THIRD-PARTY.md', thirdParty())
