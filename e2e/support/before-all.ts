import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { prepareBuild } from '../../scripts/support/fresh.mjs'
import { startPostgres } from '../../scripts/support/postgres-server'
import { makeReady } from './shop'

/**
 * Builds if the build is stale, and makes one folder for the whole run, where shops that several tests start from are
 * kept ready, and starts a PostgreSQL server where it is installed. Nothing of it stays.
 */
export default async function setup() {
  prepareBuild()
  const folder = mkdtempSync(join(tmpdir(), 'shirtwright-e2e-ready-'))
  process.env.E2E_SCRATCH = folder
  const [postgres] = await Promise.all([startPostgres(), makeReady('own'), makeReady('demo')])
  if (postgres) process.env.E2E_POSTGRES_URL = postgres.url('postgres')
  return async () => {
    await postgres?.stop()
    rmSync(folder, { recursive: true, force: true })
  }
}
