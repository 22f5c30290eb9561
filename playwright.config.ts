import { defineConfig } from 'playwright/test'
import { findChromium, HOW_TO_GET_CHROMIUM } from './e2e/support/chromium'
import type { Kept } from './e2e/support/shop'
import { NO_POSTGRES, postgresPrograms } from './scripts/support/postgres-programs.mjs'

const executablePath = findChromium()
if (!executablePath) throw new Error(HOW_TO_GET_CHROMIUM)

/** `npm run e2e:postgres`: everything that is walked in a shop of one's own, on PostgreSQL, and nothing else. */
const wide = Boolean(process.env.E2E_POSTGRES)
const installed = postgresPrograms() !== undefined
// Read by every worker too.
if (!installed && process.env.TEST_WORKER_INDEX === undefined) console.log(NO_POSTGRES)

export default defineConfig<object, { kept: Kept }>({
  testDir: 'e2e',
  globalSetup: './e2e/support/before-all.ts',
  // Each has a server and a shop of its own.
  workers: 2,
  timeout: 180_000,
  // A browser that hangs ends the run with a report, not the machine that waits for it.
  globalTimeout: 25 * 60_000,
  expect: { timeout: 20_000 },
  // From a shop of its own again. What passes only then is told at the end of the run, and is a fault to mend.
  retries: 1,
  reporter: 'list',
  projects: [
    ...(installed
      ? [
          {
            name: 'postgres',
            testMatch: wide
              ? /(walk|welcome|keeps-running|sign-ins|bad-input|front-door|servers)\.spec/
              : 'walk.spec.ts',
            use: { kept: 'postgres' as const },
          },
        ]
      : []),
    ...(wide ? [] : [{ name: 'file' }]),
  ],
  use: {
    launchOptions: { executablePath },
    viewport: { width: 1280, height: 900 },
    locale: 'en-GB',
    actionTimeout: 60_000,
  },
})
