import { type IDBPDatabase, openDB } from 'idb'
import { liveLine } from '@/app/parts/live-line'
import { type Kept, toSend } from '@/lib/floor/kept'
import type { ReportAnswer } from './take-report'

/** After so long without an answer the line is taken for cut; the report stays kept, and counts once. */
const PATIENCE_MS = 12_000
const AGAIN_MS = 8000
/** By then the page has been told anew of what was sent. */
const TOLD_MS = 60_000

/** What became of sending: an answer of the server, or no line to it. */
type Sent = { answer: ReportAnswer } | 'no-line' | 'signed-out'

async function send(report: Kept): Promise<Sent> {
  const form = new FormData()
  for (const [name, value] of Object.entries(report.fields)) form.set(name, value)
  form.set('kind', report.kind)
  form.set('stepId', report.stepId)
  form.set('formKey', report.formKey)
  form.set('by', report.by.id)
  form.set('at', String(Math.round(report.at)))
  if (report.photo) form.set('photo', report.photo, 'photo.jpg')
  const stop = new AbortController()
  const timer = setTimeout(() => stop.abort(), PATIENCE_MS + (report.photo ? 30_000 : 0))
  try {
    const response = await fetch('/api/reports', { method: 'POST', body: form, signal: stop.signal })
    if (response.status === 401) return 'signed-out'
    if (response.status >= 500) return 'no-line'
    return { answer: (await response.json()) as ReportAnswer }
  } catch {
    return 'no-line'
  } finally {
    clearTimeout(timer)
  }
}

/**
 * Reports that this browser keeps until the server has them: written down first, then sent, one after the other in the order in which
 * they were made. A report that the server has already counted is answered as the first time, so sending again is never wrong.
 */
class KeptReports {
  #list: Kept[] = []
  #shown: readonly Kept[] = []
  readonly #watchers = new Set<() => void>()
  #database: Promise<IDBPDatabase | null> | undefined
  #sending: Promise<void> | undefined
  /**
   * Reports whose form waits for the answer: they are not sent a second time meanwhile, so that a refusal stands in one place; and they
   * count for nothing here until then, or a count that ends the step would take the form away before it is refused.
   */
  readonly #asked = new Map<string, Promise<unknown>>()
  #person = ''

  get list(): readonly Kept[] {
    return this.#shown
  }

  /** Reads what is kept, and sends it whenever there is a line. @returns a function that ends it */
  begin(person: string): () => void {
    this.#person = person
    const go = () => void this.sendAll()
    const state = { was: '' }
    const stop = liveLine().watch(() => {
      const { state: now } = liveLine().line
      if (now === 'open' && state.was !== 'open') go()
      state.was = now
    })
    const timer = setInterval(go, AGAIN_MS)
    window.addEventListener('online', go)
    void this.#read().then(go)
    return () => {
      stop()
      clearInterval(timer)
      window.removeEventListener('online', go)
    }
  }

  watch(look: () => void): () => void {
    this.#watchers.add(look)
    return () => this.#watchers.delete(look)
  }

  /** Keeps a report and tries to send it. @returns the server's answer, or null where it is kept for later */
  async report(report: Kept): Promise<ReportAnswer | null> {
    // What was reported before goes first: a press is free for the next run once the last one is counted.
    const behind = this.#list.some(
      k => !k.sent && (k.stepId === report.stepId || (!k.refused && k.by.id === report.by.id)),
    )
    if (behind) {
      await this.#put(report)
      await this.sendAll()
      const left = this.#list.find(k => k.formKey === report.formKey && !k.sent)
      return left ? null : { ok: true, message: 'Sent.' }
    }
    const asked = this.#ask(report)
    this.#asked.set(report.formKey, asked)
    return asked.finally(() => {
      this.#asked.delete(report.formKey)
      this.#show()
    })
  }

  async #ask(report: Kept): Promise<ReportAnswer | null> {
    await this.#put(report)
    const sent = await send(report)
    if (typeof sent === 'string') return null
    // Refused while the form is there to be put right: nothing needs to be kept.
    if (sent.answer.ok) await this.#sent(report)
    else await this.#drop(report.formKey)
    return sent.answer
  }

  /** Sends what may be sent. One run at a time. */
  sendAll(): Promise<void> {
    this.#sending ??= this.#run().finally(() => {
      this.#sending = undefined
    })
    return this.#sending
  }

  async #run() {
    await this.#read()
    for (;;) {
      const next = toSend(this.#list, this.#person)[0]
      if (!next) return
      const asked = this.#asked.get(next.formKey)
      if (asked) {
        await asked
        continue
      }
      const sent = await send(next)
      if (typeof sent === 'string') return
      if (sent.answer.ok) await this.#sent(next, sent.answer.caution)
      else await this.#put({ ...next, refused: sent.answer.message })
    }
  }

  /** Lets a report go that the server would not have, or whose answer has been read. */
  async letGo(formKey: string) {
    await this.#drop(formKey)
    await this.sendAll()
  }

  /** Tries a refused report again. */
  async tryAgain(formKey: string) {
    const report = this.#list.find(k => k.formKey === formKey)
    if (!report) return
    const { refused: _, ...again } = report
    await this.#put(again)
    await this.sendAll()
  }

  /** Null where this browser keeps nothing (a private window): then reports are kept as long as the page is open. */
  #open(): Promise<IDBPDatabase | null> {
    this.#database ??= openDB('shirtwright', 1, {
      upgrade: db => {
        db.createObjectStore('reports', { keyPath: 'formKey' })
      },
    }).catch(() => null)
    return this.#database
  }

  async #read() {
    const db = await this.#open()
    if (!db) return
    const all = (await db.getAll('reports').catch(() => null)) as Kept[] | null
    if (all) this.#set([...all, ...this.#list.filter(k => k.sent && !k.caution)])
  }

  async #put(report: Kept) {
    const db = await this.#open()
    await db?.put('reports', report).catch(() => {})
    this.#set([...this.#list.filter(k => k.formKey !== report.formKey), report])
  }

  /**
   * No longer kept, but counted until the page has been told: else a step would stand for a moment as it did before.
   * @param caution what the server said to a report that was made long before: it stays until somebody has read it
   */
  async #sent(report: Kept, caution?: string) {
    if (caution) {
      const { photo: _, ...rest } = report
      return this.#put({ ...rest, sent: true, caution })
    }
    const db = await this.#open()
    await db?.delete('reports', report.formKey).catch(() => {})
    this.#set([...this.#list.filter(k => k.formKey !== report.formKey), { ...report, sent: true }])
    setTimeout(() => this.#set(this.#list.filter(k => k.formKey !== report.formKey)), TOLD_MS)
  }

  async #drop(formKey: string) {
    const db = await this.#open()
    await db?.delete('reports', formKey).catch(() => {})
    this.#set(this.#list.filter(k => k.formKey !== formKey))
  }

  #set(list: Kept[]) {
    this.#list = [...list].sort((a, b) => a.at - b.at || a.formKey.localeCompare(b.formKey))
    this.#show()
  }

  #show() {
    this.#shown = this.#list.filter(k => !this.#asked.has(k.formKey))
    for (const look of [...this.#watchers]) look()
  }
}

let reports: KeptReports | undefined
/** The reports that this browser keeps. Only in the browser. */
export const keptReports = (): KeptReports => {
  reports ??= new KeptReports()
  return reports
}
