import 'server-only'
import { isDemo } from './data-folder'
import { database, hasDatabase } from './database'
import { type Opening, opening } from './supervisor'

export { hasDatabase } from './database'

/** What the health address tells. `shop` is null while there is none. */
export type Health = { ok: boolean; shop: 'own' | 'demo' | null; opening: Opening | null }

/** Whether this server works: its database answers, if it has one. */
export async function health(): Promise<Health> {
  const shop = hasDatabase() ? (isDemo() ? 'demo' : 'own') : null
  const ok = !shop || (await database().$queryRaw`SELECT 1`.then(() => true).catch(() => false))
  return { ok, shop, opening: opening() ?? null }
}
