import { type Refusal, refuse } from '@/lib/units/result'

/** A surprise in a worker, as a value that can cross to the thread that asked. */
export const failure = (error: unknown): Refusal =>
  refuse(
    'failed',
    `The artwork could not be worked on: ${error instanceof Error ? error.message : String(error)}`,
  )
