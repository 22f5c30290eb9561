import { defineConfig } from 'playwright/test'
import { findChromium, HOW_TO_GET_CHROMIUM } from './e2e/support/chromium'

const executablePath = findChromium()
if (!executablePath) throw new Error(HOW_TO_GET_CHROMIUM)

export default defineConfig({
  testDir: 'e2e',
  globalSetup: './e2e/support/before-all.ts',
  workers: 1,
  timeout: 120_000,
  expect: { timeout: 10_000 },
  reporter: 'list',
  use: { launchOptions: { executablePath }, viewport: { width: 1280, height: 900 }, locale: 'en-GB' },
})
