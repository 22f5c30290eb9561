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
  const start = (): Worker =>
    new Worker(new URL('./measure.worker.ts', import.meta.url), {
      resourceLimits: { maxOldGenerationSizeMb: HEAP_MB },
    })
  return inTurn(start, task, () => measurePath(path, options, limits.onProgress), signal, limits)
}

/** Makes production files in a worker thread; see produce(). Refusals as in measureFile(). */
export function produceFile(
  task: ProductionTask,
  signal?: AbortSignal,
  limits: DeskLimits = {},
): Promise<Result<ProductionReport>> {
  const start = (): Worker =>
    new Worker(new URL('./production.worker.ts', import.meta.url), {
      resourceLimits: { maxOldGenerationSizeMb: HEAP_MB },
    })
  return inTurn(start, task, () => produce(task), signal, limits)
}

function inTurn<T>(
  start: () => Worker,
  task: unknown,
  here: () => Promise<Result<T>>,
  signal: AbortSignal | undefined,
  limits: DeskLimits,
): Promise<Result<T>> {
  limits.onProgress?.('waiting')
  // Scripts and tests run the sources as they are, and Node starts no worker from a .ts file: they work in their own thread.
  const turn = line.then(() => (process.env.NEXT_RUNTIME ? inWorker<T>(start, task, signal, limits) : here()))
  line = turn.catch(() => {})
  return turn
}

function inWorker<T>(
  start: () => Worker,
  task: unknown,
  signal: AbortSignal | undefined,
  limits: DeskLimits,
): Promise<Result<T>> {
  if (signal?.aborted) return Promise.resolve(CANCELLED)
  return new Promise(resolve => {
    const worker = start()
    const end = (result: Result<T>): void => {
      clearTimeout(timer)
      signal?.removeEventListener('abort', cancel)
      // Only once the thread is gone is its memory free, and nothing of it writes any more.
      void worker.terminate().then(() => resolve(result))
    }
    const cancel = (): void => end(CANCELLED)
    const timer = setTimeout(() => end(TOO_SLOW), limits.timeoutMs ?? TIMEOUT_MS)
    signal?.addEventListener('abort', cancel, { once: true })
    worker.on('message', (report: DeskReport<T>) => {
      if ('progress' in report) limits.onProgress?.(report.progress)
      else end(report.result)
    })
    worker.on('error', () => end(FAILED))
    worker.on('exit', () => end(FAILED))
    worker.postMessage(task)
  })
}

const CANCELLED = refuse(
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
