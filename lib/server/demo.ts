import 'server-only'

export { isDemo } from './data-folder'

/**
 * The password of everybody in the demo shop. It is no secret: the demo holds invented data, is served to this
 * computer alone, and signs in with one press.
 */
export const DEMO_PASSWORD = 'demo shop, invented'

/** What the demo's seed is given. It writes through `db()` and `transaction()` into an empty, migrated database. */
export type DemoSeed = (given: {
  /** The demo's "now", epoch milliseconds: two closed months lie before it. */
  now: number
  /** Says what is being done, for the person who waits. */
  say: (step: string) => void
}) => Promise<void>
