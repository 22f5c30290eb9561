import 'server-only'
import { randomUUID } from 'node:crypto'

/** What open pages can ask to be told of: a part of the shop that has changed. */
export const TOPICS = ['floor', 'plan', 'orders', 'art', 'stock', 'shop', 'books'] as const
export type Topic = (typeof TOPICS)[number]

/** Which topic a table belongs to. A table in no row (sign-ins, history, counters) tells nobody anything. */
const TABLES: Record<string, Topic> = {
  JobStep: 'floor',
  Report: 'floor',
  WorkLog: 'floor',
  Misprint: 'floor',
  PlannedRun: 'plan',
  PlanRecord: 'plan',
  Pin: 'plan',
  PlanChange: 'plan',
  Customer: 'orders',
  Order: 'orders',
  OrderLine: 'orders',
  OrderLineSize: 'orders',
  Print: 'orders',
  Offer: 'orders',
  OfferMail: 'orders',
  Payment: 'orders',
  Artwork: 'art',
  Clearance: 'art',
  ArtCheck: 'art',
  ArtVersion: 'art',
  InkColour: 'art',
  BlankStyle: 'stock',
  StockItem: 'stock',
  Movement: 'stock',
  StockPromise: 'stock',
  Purchase: 'stock',
  PurchaseLine: 'stock',
  KeptScreen: 'stock',
  Frame: 'stock',
  FrameUse: 'stock',
  StockCount: 'stock',
  StockCountLine: 'stock',
  StockLot: 'stock',
  Supplier: 'stock',
  PurchaseTrouble: 'stock',
  Shop: 'shop',
  MailServer: 'shop',
  ApiKey: 'shop',
  ApiCall: 'orders',
  RateCard: 'shop',
  RecipeVersion: 'shop',
  PrinterList: 'shop',
  TakenPace: 'shop',
  Term: 'shop',
  Station: 'shop',
  CrewMember: 'shop',
  Person: 'shop',
  Tablet: 'shop',
  OrderCost: 'books',
  MonthClose: 'books',
  MonthReopen: 'books',
  Invoice: 'books',
}

/** The topics of the tables that a commit has written; empty where nobody wants to know of them. */
export const topicsOf = (tables: Iterable<string>): Topic[] => [
  ...new Set([...tables].flatMap(t => TABLES[t] ?? [])),
]

/** One commit as open pages learn of it. */
export type Change = {
  /** Where it stands in the row of this server's changes: "run.number". */
  id: string
  topics: Topic[]
}

/** What a page that was away has missed: topics, or `gap` where nobody knows any more. */
export type Missed = { id: string; topics: Topic[] } | { id: string; gap: true }

/** How many changes are remembered for pages that come back. */
const KEPT = 1000

/**
 * Tells everybody who listens in this process what has changed. A second server would feed it by `publish` with what it has committed.
 * It holds no data of the shop: pages ask for what they show anew, each with the rights of who looks at it.
 */
export class Hub {
  readonly #listeners = new Set<(change: Change) => void>()
  readonly #kept: Topic[][] = []
  /** Number of the last change. */
  #last = 0

  /** @param run names this row of changes: after a restart it is another one */
  constructor(private readonly run: string) {}

  /** The last change's place: two readings that are the same have nothing between them. */
  get at(): string {
    return `${this.run}.${this.#last}`
  }

  get listeners(): number {
    return this.#listeners.size
  }

  /** Tells all listeners. A listener that fails is let go, the others hear of it all the same. */
  publish(topics: Topic[]): void {
    if (topics.length === 0) return
    this.#last++
    this.#kept.push(topics)
    if (this.#kept.length > KEPT) this.#kept.shift()
    const change = { id: this.at, topics }
    for (const tell of [...this.#listeners])
      try {
        tell(change)
      } catch {
        this.#listeners.delete(tell)
      }
  }

  /** @returns a function that ends it */
  listen(tell: (change: Change) => void): () => void {
    this.#listeners.add(tell)
    return () => this.#listeners.delete(tell)
  }

  /**
   * What has changed since a page last heard.
   * @param lastId the id it heard last; null for a page that has heard none and is new
   */
  since(lastId: string | null): Missed {
    if (lastId === null) return { id: this.at, topics: [] }
    const [run, number] = lastId.split('.')
    const after = Number(number)
    const first = this.#last - this.#kept.length
    if (run !== this.run || !Number.isSafeInteger(after) || after < first || after > this.#last)
      return { id: this.at, gap: true }
    return { id: this.at, topics: [...new Set(this.#kept.slice(after - first).flat())] }
  }
}

/** Between two signs of life; a page that hears none for twice as long connects anew. */
const BEAT_MS = 15_000
/** How long a line stays: then the browser comes back, and it is asked again who is there. */
const LINE_MS = 10 * 60_000
/** Events that a page has not taken in before its line is cut: it comes back and is told in one what it has missed. */
const MOST_WAITING = 200

/**
 * A hub's changes as a stream of server-sent events: `change` { topics }, `gap` where it is not known what was missed, and `beat` with
 * the server's time.
 * @param heard the id that the page heard last; null for a new page
 * @param gone tells that the browser has gone
 */
export function eventStream(hub: Hub, heard: string | null, gone: AbortSignal): ReadableStream<Uint8Array> {
  const bytes = new TextEncoder()
  let end = () => {}
  return new ReadableStream<Uint8Array>(
    {
      start(out) {
        const say = (text: string) => {
          if (out.desiredSize !== null && out.desiredSize < -MOST_WAITING) return end()
          out.enqueue(bytes.encode(text))
        }
        const tell = (m: Missed) =>
          say(
            `id: ${m.id}\n${'gap' in m ? 'event: gap\ndata: {}' : `event: change\ndata: ${JSON.stringify({ topics: m.topics })}`}\n\n`,
          )
        const beat = () => say(`id: ${hub.at}\nevent: beat\ndata: ${JSON.stringify({ now: Date.now() })}\n\n`)
        const stop = hub.listen(tell)
        const timer = setInterval(beat, BEAT_MS)
        const last = setTimeout(() => end(), LINE_MS)
        end = () => {
          end = () => {}
          stop()
          clearInterval(timer)
          clearTimeout(last)
          try {
            out.close()
          } catch {
            // The browser has gone before.
          }
        }
        gone.addEventListener('abort', () => end())
        say('retry: 1500\n\n')
        const missed = hub.since(heard)
        if ('gap' in missed || missed.topics.length) tell(missed)
        beat()
      },
      cancel: () => end(),
    },
    new CountQueuingStrategy({ highWaterMark: 1 }),
  )
}

const shared = globalThis as { shirtwrightLive?: { hub: Hub; made: Map<string, Made> } }
type Made = { at: string; value: Promise<unknown> }
// On globalThis: pages, actions and routes are bundled apart, and must hear of one another.
const holder = (): NonNullable<typeof shared.shirtwrightLive> => {
  shared.shirtwrightLive ??= { hub: new Hub(randomUUID().slice(0, 8)), made: new Map() }
  return shared.shirtwrightLive
}

/** The hub of this process. */
export const live = (): Hub => holder().hub

/**
 * Makes a view once for all screens that ask for it while nothing in the shop changes: thirty screens that hear of one change cost one
 * reading of the database. What depends on who looks must be part of the key, or stay out of it.
 * @param key names the view with all that it depends on besides the shop's data (the day, the minute)
 */
export function untilChanged<T>(key: string, make: () => Promise<T>): Promise<T> {
  const { hub, made } = holder()
  const known = made.get(key)
  if (known?.at === hub.at) return known.value as Promise<T>
  const at = hub.at
  const value = make()
  // Whatever is of an older time is never asked for again.
  for (const [k, m] of made) if (m.at !== at) made.delete(k)
  if (made.size >= 200) made.clear()
  made.set(key, { at, value })
  value.catch(() => made.delete(key))
  return value
}
