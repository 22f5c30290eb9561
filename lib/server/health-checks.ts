import type { Instant } from '@/lib/units/time'
import type { Outcome } from './backup-folder'
import type { Every } from './backup-plan'

/** What is known of the shop's server, as the checks take it. */
export type Facts = {
  demo: boolean
  /** Null in the demo, which is not backed up. */
  backup: {
    last: Instant | null
    /** The last look at the newest backup since it was made; it was checked as it was made. */
    check: Outcome | null
    /** The last try to make one. */
    tried: Outcome | null
    every: Every
    sameDisk: boolean | null
  } | null
  /** Bytes; null where it is not known. */
  database: number | null
  free: number | null
  mail: { server: string | null; passwordLost: boolean; sent: Instant | null; failed: Instant | null }
  /** The latest line of the history. */
  latest: Instant | null
  /** When faults happened, the latest first. */
  faults: readonly Instant[]
}

/** One thing that was looked at: well, to be watched, or to be seen to now; and what to do. */
export type Check = {
  about: 'Backup' | 'Disk' | 'Mail' | 'Clock' | 'Faults'
  state: 'done' | 'risk' | 'late'
  say: string
  /** Where it is put right. */
  href?: string
}

const HOUR = 3_600_000
const DAY = 24 * HOUR
const GB = 1e9

/** How old the last backup may be before somebody should look: twice its distance, and by hand a week. */
const OLDEST: Record<Every, number> = { hour: 2 * HOUR, 'six-hours': 12 * HOUR, day: 2 * DAY, never: 7 * DAY }

/** Looks at everything that can go wrong with the shop's server. Common practice, not a standard. @returns one line for each thing */
export function healthChecks(facts: Facts, now: Instant): Check[] {
  return [
    backupCheck(facts, now),
    diskCheck(facts),
    mailCheck(facts),
    clockCheck(facts, now),
    faultCheck(facts, now),
  ]
}

function backupCheck({ backup }: Facts, now: Instant): Check {
  const here = { about: 'Backup', href: '/office/backups' } as const
  if (!backup)
    return { about: 'Backup', state: 'done', say: 'The demo is not backed up: it is drawn afresh.' }
  const { last, check, tried, every, sameDisk } = backup
  if (tried && !tried.ok)
    return { ...here, state: 'late', say: `The last one was not made: ${tried.message}` }
  if (last === null) return { ...here, state: 'late', say: 'There is none yet: make one.' }
  if (check && !check.ok)
    return { ...here, state: 'late', say: `The newest one is not whole: ${check.message}` }
  if (last > now + 5 * 60_000)
    return {
      ...here,
      state: 'late',
      say: 'The newest one is from the future: the clock was wrong then, or is now.',
    }
  if (now - last > OLDEST[every])
    return {
      ...here,
      state: 'late',
      say: `The last one is ${ageOf(now - last)} old: see why none was made since.`,
    }
  if (sameDisk)
    return {
      ...here,
      state: 'risk',
      say: 'Whole, but on the disk that holds the shop: when that is lost, both are.',
    }
  return { ...here, state: 'done', say: 'Whole: it was brought back and compared, table by table.' }
}

function diskCheck({ free, database }: Facts): Check {
  const about = 'Disk'
  if (free === null) return { about, state: 'risk', say: 'How much room is left cannot be read here.' }
  // A backup, an upgrade and a restore each need the database once more.
  if (free < Math.max(GB, 3 * (database ?? 0)))
    return { about, state: 'late', say: 'Nearly full: make room today, or orders cannot be saved.' }
  if (free < Math.max(5 * GB, 6 * (database ?? 0)))
    return { about, state: 'risk', say: 'Getting full: make room this week.' }
  return { about, state: 'done', say: 'Room enough.' }
}

function mailCheck({ mail }: Facts): Check {
  const here = { about: 'Mail', href: '/office/shop#mail' } as const
  if (mail.server === null)
    return { ...here, state: 'done', say: 'No mail server is set: offers are copied and sent by hand.' }
  if (mail.passwordLost) return { ...here, state: 'late', say: 'Its password must be typed again.' }
  if (mail.failed !== null && mail.failed > (mail.sent ?? 0))
    return {
      ...here,
      state: 'risk',
      say: 'The last offer did not go out: send a mail to yourself to see why.',
    }
  return {
    ...here,
    state: 'done',
    say: mail.sent === null ? 'Set; no offer went out yet.' : 'The last offer went out.',
  }
}

function clockCheck({ latest }: Facts, now: Instant): Check {
  const about = 'Clock'
  if (latest !== null && latest > now + 60_000)
    return {
      about,
      state: 'late',
      say: `The history has a line from ${ageOf(latest - now)} ahead: this computer’s clock was wrong then, or is now.`,
    }
  return { about, state: 'done', say: 'Nothing in the books lies ahead of it.' }
}

function faultCheck({ faults }: Facts, now: Instant): Check {
  const today = faults.filter(at => now - at < DAY).length
  return today === 0
    ? { about: 'Faults', state: 'done', say: 'None in the last 24 hours.' }
    : {
        about: 'Faults',
        state: 'risk',
        say: `${today === 1 ? 'One' : today} in the last 24 hours: their codes stand below.`,
      }
}

/** A length of time in one word and a number, rounded down. */
function ageOf(ms: number): string {
  const [n, word] =
    ms >= 2 * DAY
      ? [Math.floor(ms / DAY), 'days']
      : ms >= 2 * HOUR
        ? [Math.floor(ms / HOUR), 'hours']
        : [Math.max(1, Math.floor(ms / 60_000)), 'minutes']
  return n === 1 ? '1 minute' : `${n} ${word}`
}
