import { parentPort } from 'node:worker_threads'
import type { DeskReport, MeasureTask } from './desk'
import { failure } from './failure'
import type { Measurement } from './measure'
import { measurePath } from './measure-path'

const report = (message: DeskReport<Measurement>): void => parentPort?.postMessage(message)

parentPort?.on('message', ({ path, options }: MeasureTask) => {
  measurePath(path, options, progress => report({ progress })).then(
    result => report({ result }),
    (error: unknown) => report({ result: failure(error) }),
  )
})
