import 'server-only'
import { statfs } from 'node:fs/promises'
import { type Instant, instant, instantOf } from '@/lib/units/time'
import { version } from '@/package.json'
import { backups } from './backups'
import { dataFolder, isDemo } from './data-folder'
import { db } from './database'
import { type Fault, faults } from './fault-book'
import type { Facts } from './health-checks'
import { live } from './live'
import { mailServer } from './mail'

/** What the owner's page shows beside the checks. */
export type ShopHealth = {
  facts: Facts
  zone: string
  version: string
  /** When this server was started. */
  since: Instant
  /** What the server itself takes of the computer's memory, bytes. */
  memory: number
  /** Pages that listen for what changes: boards, stations, walls, desks. */
  pages: number
  faults: Fault[]
}

/** Everything that there is to say about how the shop's server is. */
export async function shopHealth(now: Instant): Promise<ShopHealth> {
  const demo = isDemo()
  const [{ timeZone }, kept, server, mail, latest, size, disk] = await Promise.all([
    db().shop.findUniqueOrThrow({ where: { id: 1 }, select: { timeZone: true } }),
    demo ? null : backups(now),
    mailServer(),
    lastMails(),
    db().history.findFirst({ orderBy: { at: 'desc' }, select: { at: true } }),
    databaseBytes(),
    statfs(dataFolder()).catch(() => null),
  ])
  const known = faults(50)
  const newest = kept?.list[0]
  return {
    facts: {
      demo,
      backup: kept && {
        last: newest ? newest.made : null,
        check: newest?.check ?? null,
        tried: kept.last,
        every: kept.computer === 'none' ? 'never' : kept.plan.every,
        sameDisk: kept.sameDisk,
      },
      database: size,
      free: disk && disk.bavail * disk.bsize,
      mail: {
        server: server?.host ?? null,
        passwordLost: server?.password === null,
        ...mail,
      },
      latest: latest && instantOf(latest.at),
      faults: known.map(f => instantOf(new Date(f.at))),
    },
    zone: timeZone,
    version,
    since: instant(Math.round(now - process.uptime() * 1000)),
    memory: process.memoryUsage().rss,
    pages: live().listeners,
    faults: known,
  }
}

/** The last mails with offers: taken by the server, and not. */
async function lastMails(): Promise<{ sent: Instant | null; failed: Instant | null }> {
  const last = async (state: string) => {
    const row = await db().offerMail.findFirst({
      where: { state },
      orderBy: { at: 'desc' },
      select: { at: true },
    })
    return row && instantOf(row.at)
  }
  const [sent, failed] = await Promise.all([last('sent'), last('failed')])
  return { sent, failed }
}

/** Size of the database as it stands in its pages, bytes. */
async function databaseBytes(): Promise<number | null> {
  try {
    const [row] = await db().$queryRaw<
      { bytes: bigint | number }[]
    >`SELECT page_count * page_size AS bytes FROM pragma_page_count(), pragma_page_size()`
    return row ? Number(row.bytes) : null
  } catch {
    return null
  }
}
