import type { TestProject } from 'vitest/node'
import { applyMigrations } from '@/lib/server/migrations'
import { NO_POSTGRES } from '../../scripts/support/postgres-programs.mjs'
import { type PostgresServer, startPostgres } from '../../scripts/support/postgres-server'

declare module 'vitest' {
  export interface ProvidedContext {
    /** Address of a running server's database "postgres"; undefined where tests run on SQLite. */
    postgres: string | undefined
  }
}

/** Name of the migrated database that every test's own is a copy of. */
export const MIGRATED = 'migrated'

/** What the projects of one run share: each loads this file anew. */
const run = globalThis as { testServer?: { users: number; ready: Promise<PostgresServer> } }

/** One PostgreSQL server for the whole test run, however many projects use it. */
export default async function setup(project: TestProject) {
  run.testServer ??= { users: 0, ready: start() }
  const shared = run.testServer
  shared.users++
  const server = await shared.ready
  project.provide('postgres', server.url('postgres'))
  return async () => {
    if (--shared.users === 0) await server.stop()
  }
}

async function start(): Promise<PostgresServer> {
  const server = await startPostgres()
  if (!server) throw new Error(NO_POSTGRES)
  await server.run(`CREATE DATABASE "${MIGRATED}"`)
  await applyMigrations(server.url(MIGRATED))
  return server
}
