import { Worker } from 'node:worker_threads'
import { type Result, refuse } from '@/lib/units/result'
import type { Measurement, MeasureOptions } from './measure'
import { measurePath } from './measure-path'

/** What the worker is doing, for the page to show. */
export type DeskProgress = 'waiting' | 'reading' | 'measuring'

/** How the work is bounded. */
export type DeskLimits = { timeoutMs?: number; onProgress?: (at: DeskProgress) => void }

/** What goes to the worker and what comes back. */
export type DeskTask = { path: string; options: MeasureOptions }
export type DeskReport = { progress: DeskProgress } | { result: Result<Measurement> }

const TIMEOUT_MS = 120_000
/** The worker's own heap; pixels lie outside it and are bounded by the most pixels that are taken in. */
const HEAP_MB = 512

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
  limits.onProgress?.('waiting')
  // Scripts and tests run the sources as they are, and Node starts no worker from a .ts file: they measure in their own thread.
  const turn = line.then(() =>
    process.env.NEXT_RUNTIME
      ? inWorker({ path, options }, signal, limits)
      : measurePath(path, options, limits.onProgress),
  )
  line = turn
  return turn
}

function inWorker(
  task: DeskTask,
  signal: AbortSignal | undefined,
  limits: DeskLimits,
): Promise<Result<Measurement>> {
  if (signal?.aborted) return Promise.resolve(CANCELLED)
  return new Promise(resolve => {
    const worker = new Worker(new URL('./measure.worker.ts', import.meta.url), {
      resourceLimits: { maxOldGenerationSizeMb: HEAP_MB },
    })
    const end = (result: Result<Measurement>): void => {
      clearTimeout(timer)
      signal?.removeEventListener('abort', cancel)
      void worker.terminate()
      resolve(result)
    }
    const cancel = (): void => end(CANCELLED)
    const timer = setTimeout(() => end(TOO_SLOW), limits.timeoutMs ?? TIMEOUT_MS)
    signal?.addEventListener('abort', cancel, { once: true })
    worker.on('message', (report: DeskReport) => {
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
  'Measuring was cancelled: the artwork is unchanged, and can be measured again.',
)
const TOO_SLOW = refuse(
  'too-slow',
  'Measuring took too long and was ended: export the art as a plain PNG at 300 ppi and try that.',
)
const FAILED = refuse(
  'failed',
  'Measuring ended before it was done: try again, or export the art as a plain PNG at 300 ppi.',
)
