import { parentPort, Worker, workerData } from 'node:worker_threads'
import { type Plan, type PlanOptions, plan, type Shop } from './engine'

/** What can be sent to another thread: no functions. */
export type PlanBudget = Pick<PlanOptions, 'seed' | 'steps' | 'from' | 'moveCost' | 'aim'>
type Task = { id: number; shop: Shop; options: PlanBudget }
type Answer = { id: number; plan: Plan }

// Both ends of the thread stand in this file. This is the far one: it plans what it is sent.
const FAR = 'plans'
if (workerData === FAR)
  parentPort?.on('message', ({ id, shop, options }: Task) => {
    const answer: Answer = { id, plan: plan(shop, options) }
    parentPort?.postMessage(answer)
  })

type Desk = {
  worker: Worker | null
  waiting: Map<number, { task: Task; done: (plan: Plan) => void }>
  next: number
  /** The thread could not start: plans are made here. */
  here: boolean
}
// On globalThis, since a development server loads this module anew at every change.
const kept = globalThis as { shirtwrightPlans?: Desk }
kept.shirtwrightPlans ??= { worker: null, waiting: new Map(), next: 1, here: false }
const desk = kept.shirtwrightPlans

/** A plan made in a thread of its own, so that no page waits for it. Tasks are served in order. */
export function planAside(shop: Shop, options: PlanBudget): Promise<Plan> {
  if (desk.here) return Promise.resolve(plan(shop, options))
  const task: Task = { id: desk.next++, shop, options }
  return new Promise(done => {
    desk.waiting.set(task.id, { task, done })
    const thread = desk.worker ?? start()
    // Somebody waits for it: the process must not end meanwhile.
    thread.ref()
    thread.postMessage(task)
  })
}

function start(): Worker {
  const thread = new Worker(new URL('./plan.worker.ts', import.meta.url), { workerData: FAR })
  desk.worker = thread
  thread.on('message', ({ id, plan: made }: Answer) => {
    desk.waiting.get(id)?.done(made)
    desk.waiting.delete(id)
    if (desk.waiting.size === 0) thread.unref()
  })
  const planHere = () => {
    if (desk.worker !== thread) return
    desk.worker = null
    for (const { task, done } of desk.waiting.values()) done(plan(task.shop, task.options))
    desk.waiting.clear()
  }
  // Outside the built server (scripts, tests) a thread in TypeScript may not start.
  thread.on('error', () => {
    desk.here = true
    planHere()
  })
  thread.on('exit', planHere)
  return thread
}
