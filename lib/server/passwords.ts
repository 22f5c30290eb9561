import 'server-only'
import { hash, verify } from '@node-rs/argon2'

/** OWASP ASVS 4.0.3, 2.1.1: twelve at least. Whoever has a shorter one from before still comes in by it. */
export const SHORTEST_PASSWORD = 12
/** OWASP ASVS 4.0.3, 2.1.2: 128 at most. */
export const LONGEST_PASSWORD = 128
/** One from before may be as long, and still opens. */
export const LONGEST_KEPT_PASSWORD = 200

/**
 * Argon2id with 19 MiB, 2 passes, 1 lane: the first choice of the OWASP Password Storage Cheat Sheet (2024).
 * Runs off the main thread.
 */
export const hashPassword = (password: string): Promise<string> =>
  hash(password, { memoryCost: 19_456, timeCost: 2, parallelism: 1 })

/** Whether a password is the one that was hashed; false for a hash that cannot be read. */
export const passwordFits = (hashed: string, password: string): Promise<boolean> =>
  verify(hashed, password).catch(() => false)
