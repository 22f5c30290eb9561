import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { prepareBuild } from '../../scripts/support/fresh.mjs'
import { startPostgres } from '../../scripts/support/postgres-server'
import { makeReady } from './shop'

/**
 * Builds if the build is stale, and makes one folder for the whole run, where shops that several tests start from are
 * kept ready. Nothing of it stays. With E2E_POSTGRES set, shops of one's own lie on a PostgreSQL server that is started for the run.
 */
export default async function setup() {
  prepareBuild()
  const folder = mkdtempSync(join(tmpdir(), 'shirtwright-e2e-ready-'))
  process.env.E2E_SCRATCH = folder
  await Promise.all([makeReady('own'), makeReady('demo')])
  const postgres = process.env.E2E_POSTGRES ? await startPostgres() : undefined
  if (process.env.E2E_POSTGRES && !postgres) throw new Error('PostgreSQL is not installed here.')
  if (postgres) process.env.E2E_POSTGRES_URL = postgres.url('postgres')
  return async () => {
    await postgres?.stop()
    rmSync(folder, { recursive: true, force: true })
  }
}
