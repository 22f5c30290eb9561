import { spawnSync } from 'node:child_process'
import { cpSync } from 'node:fs'

/**
 * Puts the demo shop into a data folder: a copy of the one in `from`, or one drawn anew (some 20 s of processor time). A folder that is not
 * there, and a shop that could not be drawn, are thrown.
 */
export function demoShop(folder: string, from?: string): void {
  if (from) {
    cpSync(from, folder, { recursive: true })
    return
  }
  console.error('Drawing the demo shop …')
  const drawn = spawnSync(
    process.execPath,
    ['--conditions=react-server', '--import', 'tsx', 'scripts/prepare-shop.ts', 'demo'],
    { env: { ...process.env, SHIRTWRIGHT_DATA: folder }, input: '{}', encoding: 'utf8' },
  )
  if (drawn.status !== 0) throw new Error(`The demo shop was not drawn: ${drawn.stderr}`)
}
