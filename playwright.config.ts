import { defineConfig } from 'playwright/test'
import { findChromium, HOW_TO_GET_CHROMIUM } from './e2e/support/chromium'

const executablePath = findChromium()
if (!executablePath) throw new Error(HOW_TO_GET_CHROMIUM)

export default defineConfig({
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
  use: {
    launchOptions: { executablePath },
    viewport: { width: 1280, height: 900 },
    locale: 'en-GB',
    actionTimeout: 60_000,
  },
})
