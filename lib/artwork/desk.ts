import { Worker } from 'node:worker_threads'
import { type Result, refuse } from '@/lib/units/result'
import type { Measurement, MeasureOptions } from './measure'
import { measurePath } from './measure-path'
import { type ProductionReport, type ProductionTask, produce } from './production'

/** What the worker is doing, for the page to show. */
export type DeskProgress = 'waiting' | 'reading' | 'measuring' | 'making'

/** How the work is bounded. */
export type DeskLimits = { timeoutMs?: number; onProgress?: (at: DeskProgress) => void }

/** What goes to the measuring worker. */
export type MeasureTask = { path: string; options: MeasureOptions }
/** What comes back from a worker. */
export type DeskReport<T> = { progress: DeskProgress } | { result: Result<T> }

const TIMEOUT_MS = 120_000
/** The worker's own heap; pixels lie outside it and are bounded by the most pixels that are taken in. */
const HEAP_MB = 768

// One artwork at a time: each may hold half a gigabyte of pixels.
let line: Promise<unknown> = Promise.resolve()

// Written out where they stand: the bundler compiles a worker only in this very form.
const startMeasuring = (): Worker =>
  new Worker(new URL('./measure.worker.ts', import.meta.url), {
    resourceLimits: { maxOldGenerationSizeMb: HEAP_MB },
  })
const startMaking = (): Worker =>
  new Worker(new URL('./production.worker.ts', import.meta.url), {
    resourceLimits: { maxOldGenerationSizeMb: HEAP_MB },
  })
/** A worker that waits for the next artwork; `leave` takes it out of the waiting room. */
type Waiting = { worker: Worker; leave: () => void }
/** Workers that wait, by what starts them. */
const idle = new Map<() => Worker, Waiting>()
/** A worker is kept so long: its code is compiled and fast by now, but the pixels it held are memory. */
const IDLE_MS = 30_000

function takeKept(start: () => Worker): Worker | null {
  const waiting = idle.get(start)
  if (!waiting) return null
  waiting.leave()
  waiting.worker.ref()
  return waiting.worker
}

function keepFor(start: () => Worker, worker: Worker): void {
  // Listeners are taken off one by one: removeAllListeners() also takes those by which Node hears the thread.
  const leave = (): void => {
    clearTimeout(end)
    worker.off('error', drop)
    worker.off('exit', leave)
    if (idle.get(start)?.worker === worker) idle.delete(start)
  }
  const drop = (): void => {
    leave()
    void worker.terminate()
  }
  const end = setTimeout(drop, IDLE_MS)
  // Neither the worker nor its clock holds the server up when it ends.
  end.unref()
  worker.unref()
  worker.on('error', drop)
  worker.on('exit', leave)
  idle.set(start, { worker, leave })
}

/**
 * Measures a file in a worker thread, so that the shop's other pages go on. A refusal is a value; so are a cancel
 * (code "cancelled"), a time-out ("too-slow") and a worker that died ("failed").
 */
export function measureFile(
  path: string,
  options: MeasureOptions,
  signal?: AbortSignal,
  limits: DeskLimits = {},
): Promise<Result<Measurement>> {
  const task: MeasureTask = { path, options }
  return inTurn(startMeasuring, task, () => measurePath(path, options, limits.onProgress), signal, limits)
}

/** Makes production files in a worker thread; see produce(). Refusals as in measureFile(). */
export function produceFile(
  task: ProductionTask,
  signal?: AbortSignal,
  limits: DeskLimits = {},
): Promise<Result<ProductionReport>> {
  return inTurn(startMaking, task, () => produce(task), signal, limits)
}

function inTurn<T>(
  start: () => Worker,
  task: unknown,
  here: () => Promise<Result<T>>,
  signal: AbortSignal | undefined,
  limits: DeskLimits,
): Promise<Result<T>> {
  limits.onProgress?.('waiting')
  let begun = false
  const turn = line.then((): Promise<Result<T>> | Result<T> => {
    if (signal?.aborted) return CANCELLED
    begun = true
    return threads ? inWorker(start, task, here, signal, limits) : here()
  })
  line = turn.catch(() => {})
  return new Promise((resolve, reject) => {
    turn.then(resolve, reject)
    // Whoever leaves the line need not stand in it to its end; work that has begun answers once its worker is gone.
    signal?.addEventListener('abort', () => !begun && resolve(CANCELLED), { once: true })
  })
}

/** Scripts and tests run the sources as they are, and Node starts no worker from a .ts file: they work in their own thread. */
let threads = true

function inWorker<T>(
  start: () => Worker,
  task: unknown,
  here: () => Promise<Result<T>>,
  signal: AbortSignal | undefined,
  limits: DeskLimits,
): Promise<Result<T>> {
  if (signal?.aborted) return Promise.resolve(CANCELLED)
  return new Promise((resolve, reject) => {
    const kept = takeKept(start)
    const worker = kept ?? start()
    // A worker says what it does before it does anything: one that ends in silence could not be started at all.
    let heard = kept !== null
    const release = (): void => {
      clearTimeout(timer)
      signal?.removeEventListener('abort', cancel)
      worker.off('message', hear)
      worker.off('error', fail)
      worker.off('exit', fail)
    }
    const done = (result: Result<T>): void => {
      release()
      keepFor(start, worker)
      resolve(result)
    }
    const stop = (result: Result<T>): void => {
      release()
      // Only once the thread is gone is its memory free, and nothing of it writes any more.
      void worker.terminate().then(() => resolve(result))
    }
    const cancel = (): void => stop(CANCELLED)
    const fail = (): void => {
      if (heard) stop(FAILED)
      else {
        threads = false
        release()
        here().then(resolve, reject)
      }
    }
    const hear = (report: DeskReport<T>): void => {
      heard = true
      if ('progress' in report) limits.onProgress?.(report.progress)
      else done(report.result)
    }
    const timer = setTimeout(() => stop(TOO_SLOW), limits.timeoutMs ?? TIMEOUT_MS)
    signal?.addEventListener('abort', cancel, { once: true })
    worker.on('message', hear)
    worker.on('error', fail)
    worker.on('exit', fail)
    worker.postMessage(task)
  })
}

/** Somebody left before the work was done. */
export const CANCELLED = refuse(
  'cancelled',
  'The work was cancelled: the artwork is unchanged, and it can be started again.',
)
const TOO_SLOW = refuse(
  'too-slow',
  'The work took too long and was ended: export the art as a plain PNG at 300 ppi and try that.',
)
const FAILED = refuse(
  'failed',
  'The work ended before it was done: try again, or export the art as a plain PNG at 300 ppi.',
)
