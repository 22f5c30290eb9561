import type { TestProject } from 'vitest/node'
import { applyMigrations } from '@/lib/server/migrations'
import { NO_POSTGRES } from '../../scripts/support/postgres-programs.mjs'
import { startPostgres } from '../../scripts/support/postgres-server'

declare module 'vitest' {
  export interface ProvidedContext {
    /** Address of a running server's database "postgres"; undefined where tests run on SQLite. */
    postgres: string | undefined
  }
}

/** Name of the migrated database that every test's own is a copy of. */
export const MIGRATED = 'migrated'

/** One PostgreSQL server for the whole test run. */
export default async function setup(project: TestProject) {
  const server = await startPostgres()
  if (!server) throw new Error(NO_POSTGRES)
  await server.run(`CREATE DATABASE "${MIGRATED}"`)
  await applyMigrations(server.url(MIGRATED))
  project.provide('postgres', server.url('postgres'))
  return server.stop
}
