import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { TestProject } from 'vitest/node'
import { prepareClient } from '../../scripts/support/fresh.mjs'

declare module 'vitest' {
  export interface ProvidedContext {
    scratch: string
  }
}

/** The database client, and one throw-away folder for the whole test run; nothing of it stays behind. */
export default function setup(project: TestProject) {
  prepareClient()
  const folder = mkdtempSync(join(tmpdir(), 'shirtwright-tests-'))
  project.provide('scratch', folder)
  return () => rmSync(folder, { recursive: true, force: true })
}
