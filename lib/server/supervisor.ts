import 'server-only'
import { randomUUID } from 'node:crypto'
import { ok, type Result, refuse } from '@/lib/units/result'
import type { NewShop } from './new-shop'

/** How far the opening of a shop is. */
export type Opening = { kind: 'own' | 'demo'; step?: string; failed?: string }

/** What came of a task that the parent was asked for. */
type Kept = { ok: boolean; message: string }

const shared = globalThis as {
  shirtwrightOpening?: Opening | undefined
  shirtwrightWaiting?: Map<string, (kept: Kept) => void>
}

/** The opening under way in this server, if any. */
export const opening = (): Opening | undefined => shared.shirtwrightOpening

/** Listens to scripts/start.mjs, which started this server. Called once, when the server starts. */
export function listenToParent(): void {
  if (!process.send) return
  process.on('message', (message: unknown) => {
    if (message && typeof message === 'object' && 'opening' in message)
      shared.shirtwrightOpening = message.opening as Opening
    if (message && typeof message === 'object' && 'kept' in message) {
      const { id, ...kept } = message.kept as Kept & { id: string }
      shared.shirtwrightWaiting?.get(id)?.(kept)
      shared.shirtwrightWaiting?.delete(id)
    }
  })
  // Without its parent nobody could stop or restart this server.
  process.on('disconnect', () => process.exit(0))
}

/**
 * Asks the parent to make a shop and to start the server again with it. Returns at once; `opening()` tells how it goes.
 * @param shop what a new shop of one's own is to be; without it the one that is kept here is opened
 */
export function askForShop(kind: Opening['kind'], shop?: NewShop): Result<Opening> {
  if (!process.send)
    return refuse('no-parent', 'Only "npm start" can open a shop: start Shirtwright with it.')
  const now = opening()
  if (now && !now.failed) return refuse('opening', 'A shop is being opened already: wait for it.')
  shared.shirtwrightOpening = { kind, step: 'Getting ready' }
  process.send({ ask: 'open', kind, shop })
  return ok(shared.shirtwrightOpening)
}

/**
 * Asks the parent to run a task of scripts/keep.ts in a process of its own, and waits for what came of it.
 * @param args as on the command line
 */
export async function askToKeep(args: readonly string[]): Promise<Result<string>> {
  const send = process.send?.bind(process)
  if (!send)
    return refuse(
      'no-parent',
      'Only "npm start" looks after backups: start Shirtwright with it, or run npm run backup.',
    )
  const id = randomUUID()
  shared.shirtwrightWaiting ??= new Map()
  const waiting = shared.shirtwrightWaiting
  const kept = await new Promise<Kept>(done => {
    waiting.set(id, done)
    send({ ask: 'keep', id, args })
  })
  return kept.ok ? ok(kept.message) : refuse('not-kept', kept.message)
}
