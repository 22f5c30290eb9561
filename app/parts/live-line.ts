import type { Topic } from '@/lib/server/live'

/** How the line to the shop's server stands. `joining` is before the first answer. */
export type LineState = 'joining' | 'open' | 'cut' | 'signed-out'

export type Line = {
  state: LineState
  /** Milliseconds by which the server's clock is ahead of this device's; null until it is known. */
  skew: number | null
}

/** Everything may have changed: after a gap, a sleep, or a line that was cut for long. */
export const ALL = 'all'
export type Heard = readonly Topic[] | typeof ALL

/** The server says every 15 s that it is there; after this silence the line is taken for dead. */
const SILENCE_MS = 35_000
/** Two clocks of one device that differ by more are asked about, and so long an answer is waited for, ms. */
const DOUBT_MS = 2000
/** A tab that nobody sees gives its connection back, since a browser has only six for one server. */
const HIDDEN_MS = 10_000

/**
 * The one line of this page to the server's events, opened with the first listener and closed with the last. It comes back by itself
 * after a cut, after sleep, and when the tab is looked at again, and then tells what was missed.
 */
class LiveLine {
  #source: EventSource | null = null
  #lastId: string | null = null
  #heardAt = 0
  #watch: ReturnType<typeof setInterval> | undefined
  #hiding: ReturnType<typeof setTimeout> | undefined
  #line: Line = { state: 'joining', skew: null }
  /** What the server's clock said, and when that was on the clock that nobody can set. */
  #beat: { server: number; steady: number } | null = null
  #doubtedAt = Number.NEGATIVE_INFINITY
  readonly #listeners = new Set<(heard: Heard) => void>()
  readonly #watchers = new Set<() => void>()

  get line(): Line {
    return this.#line
  }

  /**
   * The shop's time, epoch ms: this device's clock put right by the server's. A clock that somebody sets meanwhile is noticed by the
   * one that nobody can set: back at once, forward by asking the server, since a device that slept looks the same.
   */
  now(): number {
    const byClock = Date.now() + (this.#line.skew ?? 0)
    if (!this.#beat) return byClock
    const steady = this.#beat.server + (performance.now() - this.#beat.steady)
    if (byClock < steady - 1000) return steady
    if (byClock < steady + DOUBT_MS || this.#line.state !== 'open') return byClock
    const passed = performance.now() - this.#doubtedAt
    if (passed > 30_000) {
      this.#doubtedAt = performance.now()
      this.#open()
      return steady
    }
    return passed < DOUBT_MS ? steady : byClock
  }

  /** Hears what changes. @returns a function that ends it */
  listen(hear: (heard: Heard) => void): () => void {
    this.#listeners.add(hear)
    this.#use()
    return () => {
      this.#listeners.delete(hear)
      this.#use()
    }
  }

  /** Is told when `line` has changed. @returns a function that ends it */
  watch(look: () => void): () => void {
    this.#watchers.add(look)
    this.#use()
    return () => {
      this.#watchers.delete(look)
      this.#use()
    }
  }

  #use() {
    const wanted = this.#listeners.size + this.#watchers.size > 0
    if (wanted && !this.#watch) {
      this.#watch = setInterval(this.#check, 5000)
      window.addEventListener('online', this.#again)
      window.addEventListener('offline', this.#cut)
      window.addEventListener('pageshow', this.#check)
      document.addEventListener('visibilitychange', this.#seen)
      this.#open()
    } else if (!wanted && this.#watch) {
      clearInterval(this.#watch)
      this.#watch = undefined
      window.removeEventListener('online', this.#again)
      window.removeEventListener('offline', this.#cut)
      window.removeEventListener('pageshow', this.#check)
      document.removeEventListener('visibilitychange', this.#seen)
      this.#close()
    }
  }

  #open() {
    this.#source?.close()
    const source = new EventSource(
      `/api/events${this.#lastId ? `?after=${encodeURIComponent(this.#lastId)}` : ''}`,
    )
    this.#source = source
    this.#heardAt = Date.now()
    const note = (e: MessageEvent) => {
      this.#heardAt = Date.now()
      if (e.lastEventId) this.#lastId = e.lastEventId
    }
    source.addEventListener('change', e => {
      note(e)
      this.#tell((JSON.parse(e.data) as { topics: Topic[] }).topics)
    })
    source.addEventListener('gap', e => {
      note(e)
      this.#tell(ALL)
    })
    source.addEventListener('beat', e => {
      note(e)
      const { now } = JSON.parse(e.data) as { now: number }
      this.#beat = { server: now, steady: performance.now() }
      this.#set({ state: 'open', skew: now - Date.now() })
    })
    source.addEventListener('error', () => {
      if (source !== this.#source) return
      // The browser tries again by itself, unless it was turned away; an error page of a starting server turns away too.
      if (source.readyState === EventSource.CLOSED) void this.#whyClosed()
      else this.#set({ ...this.#line, state: 'cut' })
    })
  }

  async #whyClosed() {
    this.#close()
    const answer = await fetch('/api/events?probe', { method: 'HEAD', cache: 'no-store' }).catch(() => null)
    this.#set({ ...this.#line, state: answer?.status === 401 ? 'signed-out' : 'cut' })
  }

  #close() {
    this.#source?.close()
    this.#source = null
  }

  readonly #cut = () => this.#set({ ...this.#line, state: 'cut' })
  readonly #again = () => this.#open()

  /** Timers stand still while a device sleeps: the first check after it finds the line silent for too long. */
  readonly #check = () => {
    if (document.visibilityState === 'hidden') return
    const silent = Date.now() - this.#heardAt
    if (this.#source === null || silent > SILENCE_MS || silent < -1000) this.#open()
  }

  readonly #seen = () => {
    clearTimeout(this.#hiding)
    if (document.visibilityState === 'hidden') this.#hiding = setTimeout(() => this.#close(), HIDDEN_MS)
    else this.#check()
  }

  #set(line: Line) {
    const { state, skew } = this.#line
    // The clocks' difference wobbles with the network: only what matters to a person is passed on.
    const same = skew !== null && line.skew !== null && Math.abs(skew - line.skew) < 2000
    if (line.state === state && (same || skew === line.skew)) return
    this.#line = same ? { ...line, skew } : line
    for (const look of [...this.#watchers]) look()
  }

  #tell(heard: Heard) {
    for (const hear of [...this.#listeners]) hear(heard)
  }
}

let line: LiveLine | undefined
/** The page's line. Only in the browser. */
export const liveLine = (): LiveLine => {
  line ??= new LiveLine()
  return line
}
