import { parentPort } from 'node:worker_threads'
import { refuse } from '@/lib/units/result'
import type { DeskReport, DeskTask } from './desk'
import { measurePath } from './measure-path'

const report = (message: DeskReport): void => parentPort?.postMessage(message)

parentPort?.once('message', ({ path, options }: DeskTask) => {
  measurePath(path, options, progress => report({ progress })).then(
    result => report({ result }),
    (error: unknown) =>
      report({
        result: refuse(
          'failed',
          `The artwork could not be measured: ${error instanceof Error ? error.message : error}`,
        ),
      }),
  )
})
