import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vitest/config'
import { NO_POSTGRES, postgresPrograms } from './scripts/support/postgres-programs.mjs'

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url))

/** `npm run unit:postgres`: every test of a store on PostgreSQL, and nothing else. */
const all = process.env.SHIRTWRIGHT_STORES === 'postgres'
const installed = postgresPrograms() !== undefined
if (!installed) console.log(NO_POSTGRES)

/** What needs a server in any case. */
const ABOUT_POSTGRES = ['tests/server/postgres.test.ts', 'tests/scripts/move-to-postgres.test.ts']

/** Every test file, and what stands in it. */
const files = readdirSync(here('tests'), { recursive: true, encoding: 'utf8' })
  .filter(name => /\.test\.tsx?$/.test(name))
  .map(name => join('tests', name))
  .map(name => ({ name, text: readFileSync(here(name), 'utf8') }))

/** Values in, values out: nothing of one file can reach another, so they share what is loaded. The others have a process of their own. */
const pure = files
  .filter(
    ({ text }) =>
      !/lib\/server|store'|freshDatabase|freshFile|vi\.|process\.|spawn|globalThis|@\/app\/api/.test(text),
  )
  .map(({ name }) => name)

/** Tests that have a database of their own by `freshDatabase`, and do not look at its file: they run on both kinds. */
const stores = files.filter(({ text }) => text.includes('freshDatabase') && !text.includes('freshFile'))
/** Those that change what all tests of a process would see: each has a process of its own. */
const apart = stores
  .filter(({ text }) => /vi\.|process\.|spawn|globalThis|@\/app\/api/.test(text))
  .map(({ name }) => name)
/** Those whose database is all that they change share what is loaded, which is half of their time. */
const together = stores.map(({ name }) => name).filter(name => !apart.includes(name))

const project = (name: string, test: { include: string[]; exclude?: string[]; isolate?: boolean }) => ({
  extends: true as const,
  test: {
    name,
    ...test,
    globalSetup: [
      'tests/support/scratch-folder.ts',
      ...(name.startsWith('postgres') ? ['tests/support/postgres.ts'] : []),
    ],
  },
})
const onSqlite = [
  project('pure', { include: pure, isolate: false }),
  project('sqlite', {
    include: ['tests/**/*.test.ts', 'tests/**/*.test.tsx'],
    exclude: [...ABOUT_POSTGRES, ...pure, ...together],
  }),
  project('sqlite together', { include: together, isolate: false }),
]
const onPostgres = [
  project('postgres', { include: [...ABOUT_POSTGRES, ...apart] }),
  project('postgres together', { include: together, isolate: false }),
]

export default defineConfig({
  resolve: {
    alias: {
      '@': here('.'),
      'server-only': here('./node_modules/server-only/empty.js'),
    },
  },
  test: {
    environment: 'node',
    // One core is not kept free for the reporter: on a machine of two that would be half the time.
    maxWorkers: '100%',
    // Real databases and processes on a busy machine.
    testTimeout: 60_000,
    hookTimeout: 120_000,
    setupFiles: 'tests/support/cases.ts',
    // The shop's zone is an argument everywhere; the machine's own zone must not matter.
    // What the server writes about itself is not what a test says.
    env: { TZ: 'America/Los_Angeles', SHIRTWRIGHT_LOG: 'silent' },
    projects: [...(all ? [] : onSqlite), ...(installed ? onPostgres : [])],
  },
})
