import { parentPort } from 'node:worker_threads'
import type { DeskReport } from './desk'
import { failure } from './failure'
import { type ProductionReport, type ProductionTask, produce } from './production'

const report = (message: DeskReport<ProductionReport>): void => parentPort?.postMessage(message)

parentPort?.on('message', (task: ProductionTask) => {
  report({ progress: 'making' })
  produce(task).then(
    result => report({ result }),
    (error: unknown) => report({ result: failure(error) }),
  )
})
