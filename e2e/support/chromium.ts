import { existsSync } from 'node:fs'
import { delimiter, join } from 'node:path'
import { chromium } from 'playwright'

const NAMES = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable', 'chrome.exe']
const PLACES = [
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe',
]

/** Path of a Chromium: the one named in CHROMIUM_PATH, else the system's, else Playwright's own; undefined if none. */
export function findChromium(): string | undefined {
  const onPath = (process.env.PATH ?? '')
    .split(delimiter)
    .flatMap(folder => NAMES.map(name => join(folder, name)))
  const places = [process.env.CHROMIUM_PATH, ...onPath, ...PLACES, chromium.executablePath()]
  return places.find(path => path && existsSync(path))
}

export const HOW_TO_GET_CHROMIUM =
  'No Chromium found: run "npx playwright install chromium", or set CHROMIUM_PATH to one.'
