import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { prepareBuild } from '../../scripts/support/fresh.mjs'
import { makeReady } from './shop'

/**
 * Builds if the build is stale, and makes one folder for the whole run, where shops that several tests start from are
 * kept ready. Nothing of it stays.
 */
export default async function setup() {
  prepareBuild()
  const folder = mkdtempSync(join(tmpdir(), 'shirtwright-e2e-ready-'))
  process.env.E2E_SCRATCH = folder
  await Promise.all([makeReady('own'), makeReady('demo')])
  return () => rmSync(folder, { recursive: true, force: true })
}
