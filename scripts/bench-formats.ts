import type { Job, Shop, Station } from '@/lib/planning/engine'

/** Published instance formats as shops of the engine: everything open from 0, nobody attending. */

export const KINDS = [
  'jobshop',
  'flexible',
  'weighted-tardiness',
  'setup-tardiness',
  'jobshop-setups',
] as const
export type Kind = (typeof KINDS)[number]

export interface Instance {
  name: string
  kind: Kind
  shop: Shop
}

/** Longest time any published format here reaches; far below the engine's last minute. */
const HORIZON = 1 << 29

/** Instances of a file. @throws Error with one line when the text is not of that kind. */
export function readInstances(kind: Kind, name: string, text: string): Instance[] {
  if (kind === 'weighted-tardiness') return readWeighted(name, text)
  const numbers = Numbers.of(text)
  const shop = { jobshop, flexible, 'setup-tardiness': setupTardiness, 'jobshop-setups': jobshopSetups }[
    kind
  ](numbers)
  numbers.done()
  return [{ name, kind, shop }]
}

class Numbers {
  private at = 0
  private constructor(private readonly list: number[]) {}

  static of(text: string): Numbers {
    const words = text
      .split('\n')
      .filter(line => !line.trimStart().startsWith('#'))
      .join(' ')
      .split(/\s+/)
      .filter(Boolean)
    return new Numbers(
      words.map(word => {
        const value = Number(word)
        if (!Number.isInteger(value) || Math.abs(value) > 1e9)
          throw new Error(`"${word.slice(0, 40)}" is not a whole number`)
        return value
      }),
    )
  }

  get left(): number {
    return this.list.length - this.at
  }

  next(what: string, least = 0, most = 1e7): number {
    const value = this.list[this.at++]
    if (value === undefined) throw new Error(`the file ends before ${what}`)
    if (value < least || value > most) throw new Error(`${what} must be ${least} to ${most}, not ${value}`)
    return value
  }

  many(count: number, what: string): number[] {
    return Array.from({ length: count }, () => this.next(what))
  }

  done(): void {
    if (this.left > 0) throw new Error(`${this.left} numbers too many`)
  }
}

const machine = (id: number, more: Partial<Station> = {}): Station => ({
  id: `${id}`,
  kind: 'machine',
  open: [{ from: 0, to: HORIZON }],
  state: null,
  changeovers: [],
  ...more,
})

const shopOf = (stations: Station[], jobs: Job[]): Shop => ({
  now: 0,
  horizon: HORIZON,
  stations,
  crew: [],
  jobs,
  kept: [],
})

const jobOf = (
  id: number,
  steps: { on: [number, number][]; state?: string }[],
  due: number | null = null,
  weight = 1,
): Job => ({
  id: `${id}`,
  release: 0,
  due,
  weight,
  hard: false,
  steps: steps.map((s, i) => ({
    id: `${i}`,
    on: s.on.map(([m, run]) => ({ station: `${m}`, setup: 0, run })),
    state: s.state ?? null,
    attended: 'none',
    pausable: false,
    gap: { min: 0, max: null },
  })),
})

function jobshop(n: Numbers): Shop {
  const jobs = n.next('the number of jobs', 1, 5_000)
  const machines = n.next('the number of machines', 1, 200)
  return shopOf(
    Array.from({ length: machines }, (_, m) => machine(m)),
    Array.from({ length: jobs }, (_, j) =>
      jobOf(
        j,
        Array.from({ length: machines }, () => {
          const m = n.next(`a machine of job ${j}`, 0, machines - 1)
          return { on: [[m, n.next(`a time of job ${j}`)]] as [number, number][] }
        }),
      ),
    ),
  )
}

function flexible(n: Numbers): Shop {
  const jobs = n.next('the number of jobs', 1, 5_000)
  const machines = n.next('the number of machines', 1, 200)
  return shopOf(
    Array.from({ length: machines }, (_, m) => machine(m)),
    Array.from({ length: jobs }, (_, j) =>
      jobOf(
        j,
        Array.from({ length: n.next(`the operations of job ${j}`, 1, 1_000) }, () => ({
          on: Array.from({ length: n.next(`the machines of an operation of job ${j}`, 1, machines) }, () => {
            const m = n.next(`a machine of job ${j}`, 0, machines - 1)
            return [m, n.next(`a time of job ${j}`)] as [number, number]
          }),
        })),
      ),
    ),
  )
}

function readWeighted(name: string, text: string): Instance[] {
  const names = [...text.matchAll(/^#\s*(\S+-\d+)\s*$/gm)].map(m => m[1] as string)
  const numbers = Numbers.of(text)
  const size = Number(/wt(\d+)/.exec(name)?.[1] ?? 40)
  const found: Instance[] = []
  while (numbers.left > 0) {
    const run = numbers.many(size, 'a processing time')
    const weight = numbers.many(size, 'a weight')
    const due = numbers.many(size, 'a due date')
    const jobs = run.map((p, j) => jobOf(j, [{ on: [[0, p]] }], due[j], weight[j]))
    found.push({
      name: names[found.length] ?? `${name}-${found.length + 1}`,
      kind: 'weighted-tardiness',
      shop: shopOf([machine(0)], jobs),
    })
  }
  return found
}

function setupTardiness(n: Numbers): Shop {
  const count = n.next('the number of jobs', 1, 1_000)
  const run = n.many(count, 'a processing time')
  const weight = n.many(count, 'a weight')
  const due = n.many(count, 'a due date')
  const first = n.many(count, 'a set-up before the first job')
  const changeovers = first.map((minutes, j) => ({ from: 'start', to: `${j}`, minutes, attended: false }))
  for (let i = 0; i < count; i++) {
    n.many(count, 'a set-up').forEach((minutes, j) => {
      changeovers.push({ from: `${i}`, to: `${j}`, minutes, attended: false })
    })
  }
  return shopOf(
    [machine(0, { state: 'start', changeovers })],
    run.map((p, j) => jobOf(j, [{ on: [[0, p]], state: `${j}` }], due[j], weight[j])),
  )
}

function jobshopSetups(n: Numbers): Shop {
  const jobs = n.next('the number of jobs', 1, 5_000)
  const machines = n.next('the number of machines', 1, 200)
  const families = n.next('the number of families', 1, 500)
  const list = Array.from({ length: jobs }, (_, j) => {
    const family = `${n.next(`the family of job ${j}`, 0, families - 1)}`
    return jobOf(
      j,
      Array.from({ length: machines }, () => {
        const m = n.next(`a machine of job ${j}`, 0, machines - 1)
        return { on: [[m, n.next(`a time of job ${j}`)]] as [number, number][], state: family }
      }),
    )
  })
  const changeovers = n
    .many(families, 'a set-up before the first operation')
    .map((minutes, f) => ({ from: 'start', to: `${f}`, minutes, attended: false }))
  for (let a = 0; a < families; a++) {
    n.many(families, 'a set-up between families').forEach((minutes, b) => {
      changeovers.push({ from: `${a}`, to: `${b}`, minutes, attended: false })
    })
  }
  return shopOf(
    Array.from({ length: machines }, (_, m) => machine(m, { state: 'start', changeovers })),
    list,
  )
}
