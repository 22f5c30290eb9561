import { Worker } from 'node:worker_threads'
import { log, logFault, withoutWords } from '@/lib/server/log'
import { ok, type Result, refuse } from '@/lib/units/result'
import { layOut, type PaperTask } from './lay-out'

type Waiting = { task: PaperTask; done: (pdf: Result<Uint8Array>) => void; timer: NodeJS.Timeout }
type Answer = { id: number; pdf?: Uint8Array; wrong?: string }
type Desk = {
  worker: Worker | null
  waiting: Map<number, Waiting>
  next: number
  /** The thread could not start (scripts, tests): paper is laid out here. */
  here: boolean
}
// On globalThis, since a development server loads this module anew at every change.
const kept = globalThis as { shirtwrightPaper?: Desk }
kept.shirtwrightPaper ??= { worker: null, waiting: new Map(), next: 1, here: false }
const desk = kept.shirtwrightPaper

const TIMEOUT_MS = 60_000
const FAILED = refuse('paper', 'The PDF could not be made: try again, or print the page from the browser.')

const hereAndNow = (task: PaperTask): Promise<Result<Uint8Array>> =>
  layOut(task).then(ok, (error: unknown) => {
    logFault(undefined, 'paper', error)
    return FAILED
  })

/** A PDF made in a thread of its own, so that no page waits for it. */
export function layOutAside(task: PaperTask): Promise<Result<Uint8Array>> {
  if (desk.here) return hereAndNow(task)
  const id = desk.next++
  return new Promise(done => {
    const timer = setTimeout(() => answer({ id, wrong: 'too slow' }), TIMEOUT_MS)
    desk.waiting.set(id, { task, done, timer })
    const thread = desk.worker ?? start()
    thread.ref()
    thread.postMessage({ id, task })
  })
}

function answer({ id, pdf, wrong }: Answer): void {
  const one = desk.waiting.get(id)
  if (!one) return
  desk.waiting.delete(id)
  clearTimeout(one.timer)
  if (desk.waiting.size === 0) desk.worker?.unref()
  if (wrong) log.error({ doing: 'paper', text: withoutWords(wrong) }, 'fault')
  one.done(pdf ? ok(pdf) : FAILED)
}

function start(): Worker {
  // Written out where it stands: the bundler compiles a worker only in this very form.
  const thread = new Worker(new URL('./paper.worker.ts', import.meta.url))
  desk.worker = thread
  // It says so once it runs: one that ends before could not be started at all.
  let heard = false
  thread.on('message', (message: Answer) => {
    heard = true
    answer(message)
  })
  const gone = () => {
    if (desk.worker !== thread) return
    desk.worker = null
    if (!heard) desk.here = true
    for (const [id, one] of [...desk.waiting])
      if (heard) answer({ id, wrong: 'the thread ended' })
      else {
        desk.waiting.delete(id)
        clearTimeout(one.timer)
        void hereAndNow(one.task).then(one.done)
      }
  }
  thread.on('error', gone)
  thread.on('exit', gone)
  return thread
}
