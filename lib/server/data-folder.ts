import 'server-only'
import { randomBytes } from 'node:crypto'
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'

/** Where the shop keeps everything of its own: SHIRTWRIGHT_DATA, else `data` in the working folder. */
export const dataFolder = () => resolve(/* turbopackIgnore: true */ process.env.SHIRTWRIGHT_DATA ?? 'data')

/** Whether this server shows the demo shop. */
export const isDemo = () => process.env.SHIRTWRIGHT_DEMO === '1'

/** Whether a shop of one's own is kept here, open or not; on a database server scripts/start.mjs has asked for it. */
export const hasOwnShop = () =>
  process.env.SHIRTWRIGHT_SHOP
    ? process.env.SHIRTWRIGHT_SHOP === 'server'
    : existsSync(join(dataFolder(), 'shop.db'))

/** Where uploaded files are kept; made if it is not there. The demo has a folder of its own. */
export function filesFolder(): string {
  const folder = join(dataFolder(), isDemo() ? 'demo-files' : 'files')
  mkdirSync(folder, { recursive: true })
  return folder
}

/** The key that signs session cookies: made once, readable by its owner only. */
export function secretKey(): string {
  const file = join(dataFolder(), 'secret')
  try {
    mkdirSync(dataFolder(), { recursive: true, mode: 0o700 })
    // "wx" fails if the file is there, so two processes cannot make two keys.
    writeFileSync(file, randomBytes(48).toString('base64url'), { mode: 0o600, flag: 'wx' })
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error
  }
  return readFileSync(file, 'utf8').trim()
}
