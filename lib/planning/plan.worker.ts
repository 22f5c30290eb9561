import { parentPort, Worker, workerData } from 'node:worker_threads'
import {
  type Chance,
  type ChanceOptions,
  chances,
  DEFAULT_SPREAD,
  improve,
  type Plan,
  type PlanOptions,
  plan,
  type Shop,
  type Spread,
} from './engine'

/** What can be sent to another thread: no functions. */
export type PlanBudget = Pick<PlanOptions, 'seed' | 'steps' | 'from' | 'moveCost' | 'aim'>
type Task = { id: number; shop: Shop; options: PlanBudget }
type Answer = { id: number; plan: Plan }
/** A search that somebody watches. `stop` is shared memory: the thread is too busy to read messages. */
type Search = { shop: Shop; from: Plan; options: ImproveBudget; stop: SharedArrayBuffer }
type Found = { plan: Plan; last: boolean }
export type ImproveBudget = Pick<PlanOptions, 'seed' | 'steps' | 'seconds' | 'moveCost' | 'aim'>

// Both ends of the thread stand in this file. This is the far one: it plans what it is sent.
const FAR = 'plans'
if (workerData === FAR)
  parentPort?.on('message', ({ id, shop, options }: Task) => {
    const answer: Answer = { id, plan: plan(shop, options) }
    parentPort?.postMessage(answer)
  })

const SEARCHES = 'searches'
if (workerData === SEARCHES)
  parentPort?.once('message', ({ shop, from, options, stop }: Search) => {
    const flag = new Int32Array(stop)
    const tell = (found: Plan, last: boolean) => {
      const answer: Found = { plan: found, last }
      parentPort?.postMessage(answer)
    }
    tell(
      improve(shop, from, {
        ...options,
        clock: () => performance.now(),
        stopped: () => Atomics.load(flag, 0) === 1,
        onBetter: better => tell(better, false),
      }),
      true,
    )
  })

const FUTURES = 'futures'
/** Spreads by step: what is sent to a thread holds no function. */
type Futures = {
  shop: Shop
  plan: Plan
  spreads: Record<string, Spread>
  options: Omit<ChanceOptions, 'spread'>
}
const lived = ({ shop, plan: made, spreads, options }: Futures): Chance[] =>
  chances(shop, made, { ...options, spread: (_job, step) => spreads[step] ?? DEFAULT_SPREAD })
if (workerData === FUTURES)
  parentPort?.once('message', (task: Futures) => parentPort?.postMessage(lived(task)))

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

/** How sure promises are, in a thread of its own: it takes seconds, and no plan may wait behind it. */
export function chancesAside(
  shop: Shop,
  made: Plan,
  spreads: Record<string, Spread>,
  options: Omit<ChanceOptions, 'spread'> = {},
): Promise<Chance[]> {
  const task: Futures = { shop, plan: made, spreads, options }
  if (desk.here) return Promise.resolve(lived(task))
  return new Promise(done => {
    const thread = new Worker(new URL('./plan.worker.ts', import.meta.url), { workerData: FUTURES })
    let over = false
    const answer = (found: () => Chance[]) => {
      if (over) return
      over = true
      void thread.terminate()
      done(found())
    }
    thread.on('message', (found: Chance[]) => answer(() => found))
    thread.on('error', () => answer(() => lived(task)))
    thread.on('exit', () => answer(() => lived(task)))
    thread.postMessage(task)
  })
}

/** Seconds of search between two looks at the signal, where no thread can be started. */
const SLICE = 0.2

/**
 * Looks for a better plan than the one given, in a thread of its own beside the one that answers pages. `onBetter` gets each better
 * plan as it is found; `signal` ends the search, and the answer is the best plan until then.
 */
export function improveAside(
  shop: Shop,
  from: Plan,
  {
    onBetter,
    signal,
    ...options
  }: ImproveBudget & { onBetter?: (better: Plan) => void; signal?: AbortSignal } = {},
): Promise<Plan> {
  if (desk.here) return improveHere(shop, from, options, onBetter, signal)
  return new Promise(done => {
    const stop = new SharedArrayBuffer(4)
    const thread = new Worker(new URL('./plan.worker.ts', import.meta.url), { workerData: SEARCHES })
    const end = () => void Atomics.store(new Int32Array(stop), 0, 1)
    let best: Plan | null = null
    let over = false
    const answer = (found: Plan | Promise<Plan>) => {
      if (over) return
      over = true
      signal?.removeEventListener('abort', end)
      void thread.terminate()
      done(found)
    }
    if (signal?.aborted) end()
    else signal?.addEventListener('abort', end)
    thread.on('message', ({ plan: found, last }: Found) => {
      best = found
      if (last) answer(found)
      else if (!over) onBetter?.(found)
    })
    thread.on('error', () => {
      if (best) return answer(best)
      desk.here = true
      answer(improveHere(shop, from, options, onBetter, signal))
    })
    thread.on('exit', () => {
      // An error has its answer under way already; a second search beside it would end it by what it tells.
      if (!over) answer(best ?? improveHere(shop, from, options, onBetter, signal))
    })
    const search: Search = { shop, from, options, stop }
    thread.postMessage(search)
  })
}

/** The same without a thread, slice by slice, so that others get their turn. */
async function improveHere(
  shop: Shop,
  from: Plan,
  options: ImproveBudget,
  onBetter?: (better: Plan) => void,
  signal?: AbortSignal,
): Promise<Plan> {
  const clock = () => performance.now()
  if (options.seconds === undefined) return improve(shop, from, { ...options, onBetter, signal })
  const until = clock() + options.seconds * 1000
  let best = improve(shop, from, { ...options, steps: 0 })
  for (let slice = 0; clock() < until && !signal?.aborted; slice++) {
    const seconds = Math.min(SLICE, (until - clock()) / 1000)
    const found = improve(shop, best, {
      ...options,
      seconds,
      clock,
      seed: (options.seed ?? 1) + slice,
      signal,
    })
    const { objective: a } = found
    const { objective: b } = best
    if (
      a.hardMisses < b.hardMisses ||
      (a.hardMisses === b.hardMisses && a.weightedLateMinutes < b.weightedLateMinutes)
    ) {
      best = found
      onBetter?.(best)
    }
    await new Promise(turn => setImmediate(turn))
  }
  return best
}
