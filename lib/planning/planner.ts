import { Worker } from 'node:worker_threads'
import { type Plan, type PlanOptions, plan, type Shop } from './engine'

/** What can be sent to another thread: no functions. */
export type PlanBudget = Pick<PlanOptions, 'seed' | 'steps' | 'from' | 'moveCost' | 'aim'>
export type PlanTask = { id: number; shop: Shop; options: PlanBudget }
export type PlanAnswer = { id: number; plan: Plan }

type Waiting = { task: PlanTask; done: (plan: Plan) => void }
type Desk = { worker: Worker | null; waiting: Map<number, Waiting>; next: number; inThread: boolean }

// On globalThis, since a development server loads this module anew at every change.
const kept = globalThis as { shirtwrightPlanner?: Desk }
kept.shirtwrightPlanner ??= { worker: null, waiting: new Map(), next: 1, inThread: false }
const desk = kept.shirtwrightPlanner

/** A plan made in a thread of its own, so that no page waits for it. Tasks are served in order. */
export function planAside(shop: Shop, options: PlanBudget): Promise<Plan> {
  if (desk.inThread) return Promise.resolve(plan(shop, options))
  const task: PlanTask = { id: desk.next++, shop, options }
  return new Promise(done => {
    desk.waiting.set(task.id, { task, done })
    const thread = worker()
    // Somebody waits for it: the process must not end meanwhile.
    thread.ref()
    thread.postMessage(task)
  })
}

function worker(): Worker {
  if (desk.worker) return desk.worker
  const started = new Worker(new URL('./plan.worker.ts', import.meta.url))
  started.on('message', ({ id, plan: made }: PlanAnswer) => {
    desk.waiting.get(id)?.done(made)
    desk.waiting.delete(id)
    if (desk.waiting.size === 0) started.unref()
  })
  // Outside the built server (scripts, tests) a worker in TypeScript may not start: the plan is then made here.
  const here = () => {
    desk.worker = null
    desk.inThread = true
    for (const { task, done } of desk.waiting.values()) done(plan(task.shop, task.options))
    desk.waiting.clear()
  }
  started.on('error', here)
  started.on('exit', () => {
    if (desk.worker !== started) return
    if (desk.waiting.size > 0) here()
    desk.worker = null
  })
  desk.worker = started
  return started
}
