import { parentPort } from 'node:worker_threads'
import { layOut, type PaperTask } from './lay-out'

// The far end of the thread in which paper is laid out; the near one is aside.ts.
parentPort?.on('message', async ({ id, task }: { id: number; task: PaperTask }) => {
  try {
    parentPort?.postMessage({ id, pdf: await layOut(task) })
  } catch (error) {
    parentPort?.postMessage({ id, wrong: error instanceof Error ? error.message : String(error) })
  }
})
parentPort?.postMessage({ id: 0 })
