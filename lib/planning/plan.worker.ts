import { parentPort } from 'node:worker_threads'
import { plan } from './engine'
import type { PlanAnswer, PlanTask } from './planner'

parentPort?.on('message', ({ id, shop, options }: PlanTask) => {
  const answer: PlanAnswer = { id, plan: plan(shop, options) }
  parentPort?.postMessage(answer)
})
