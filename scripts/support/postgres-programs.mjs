// Plain JavaScript: it is asked before anything can run TypeScript.
import { existsSync, readdirSync } from 'node:fs'
import { delimiter, join } from 'node:path'

/** Said where the program is not there. */
export const NO_POSTGRES =
  'PostgreSQL is not installed here (Debian: apt-get install postgresql): what needs a real server is left out.'

/**
 * Folder of the server's programs: POSTGRES_BIN, where Debian keeps them, or the search path.
 * @returns {string | undefined} undefined where there are none
 */
export function postgresPrograms() {
  const debian = '/usr/lib/postgresql'
  const versions = existsSync(debian) ? readdirSync(debian).sort((a, b) => Number(b) - Number(a)) : []
  return [
    ...(process.env.POSTGRES_BIN ? [process.env.POSTGRES_BIN] : []),
    ...versions.map(version => join(debian, version, 'bin')),
    ...(process.env.PATH ?? '').split(delimiter),
  ].find(folder => existsSync(join(folder, 'initdb')) && existsSync(join(folder, 'postgres')))
}
