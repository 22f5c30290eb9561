import 'server-only'
import { createHash } from 'node:crypto'
import { Pool } from 'pg'
import { RateLimiterMemory, RateLimiterPostgres, RateLimiterRes } from 'rate-limiter-flexible'
import { postgresAddress } from './database'

/** How often something may be tried. */
type Limits = {
  /** Tells counts of one kind from those of another. */
  keyPrefix: string
  /** Tries that are free … */
  points: number
  /** … within so many seconds. */
  duration: number
  /** Seconds to wait once more were tried; else until the time above is over. */
  blockDuration?: number
}

/** Where the app servers of a shop count together: beside the shop's tables, no part of a backup, gone when the database server breaks down. */
const TABLE = '_tries'
/** Keeps two servers from laying out the table at one moment: the letters "trie". */
const LAYING_OUT = 0x74726965

type Shared = { pool: Pool; ready: Promise<unknown> }
const known = new Map<string, Shared>()

/**
 * Connections of their own: counting takes neither the one writer's lock nor its flush to the disk, so whoever guesses holds nobody up. They
 * close by themselves when nothing is tried.
 */
function shared(address: string): Shared {
  const before = known.get(address)
  if (before) return before
  const pool = new Pool({
    connectionString: address,
    max: 2,
    idleTimeoutMillis: 2_000,
    connectionTimeoutMillis: 10_000,
    allowExitOnIdle: true,
  })
  // An idle connection that breaks is replaced at the next try.
  pool.on('error', () => undefined)
  const ready = pool.query(
    `SELECT pg_advisory_xact_lock(${LAYING_OUT}); CREATE UNLOGGED TABLE IF NOT EXISTS "${TABLE}" (key text COLLATE "C" PRIMARY KEY, points integer NOT NULL, expire bigint)`,
  )
  const made = { pool, ready }
  known.set(address, made)
  ready.catch(() => known.delete(address))
  return made
}

/**
 * Counts tries by name. In a shop on SQLite this process counts in its memory; on PostgreSQL all app servers count together, so that more
 * servers are not more tries.
 */
export class Tries {
  readonly #memory: RateLimiterMemory
  readonly #shared = new WeakMap<Pool, RateLimiterPostgres>()

  constructor(private readonly limits: Limits) {
    this.#memory = new RateLimiterMemory(limits)
  }

  /**
   * Counts one try.
   * @returns null where it is free, else the milliseconds to wait
   */
  async take(name: string): Promise<number | null> {
    try {
      await (await this.#counter()).consume(hashed(name))
      return null
    } catch (error) {
      if (!(error instanceof RateLimiterRes)) throw error
      return error.msBeforeNext
    }
  }

  /** Forgets the tries of a name: the last one was right. */
  async forget(name: string): Promise<void> {
    await (await this.#counter()).delete(hashed(name))
  }

  async #counter(): Promise<RateLimiterMemory | RateLimiterPostgres> {
    const address = postgresAddress()
    if (!address) return this.#memory
    const { pool, ready } = shared(address)
    await ready
    const counter =
      this.#shared.get(pool) ??
      new RateLimiterPostgres({
        ...this.limits,
        storeClient: pool,
        storeType: 'pool',
        tableName: TABLE,
        tableCreated: true,
      })
    this.#shared.set(pool, counter)
    return counter
  }
}

/** What was typed for a name may be a password: nobody who reads the table finds it. */
const hashed = (name: string) => createHash('sha256').update(name).digest('base64url')
