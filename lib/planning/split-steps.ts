import { isOnce } from '@/lib/shop/recipe'
import type { Result } from '@/lib/units/result'
import { ok, refuse } from '@/lib/units/result'
import type { SizeCount, StepRecipe } from './recipe-snapshot'
import { isAfter, isRemake, type NewStep } from './steps'

/** A step of the chain that is to be split. */
export type SplitStep = NewStep & { id: string; state: string; good: number; spoiled: number }

/** What a split does to the floor's list. */
export type Split = {
  /** Steps that stay in the first part, with the pieces that are left to them. */
  first: { id: string; pieces: number; sizes: SizeCount[]; runMinutes: number; recipe: StepRecipe }[]
  /** Steps that go to the second part as they are. */
  gone: string[]
  second: NewStep[]
}

/** Name of the next part of a batch: "batch-1.2" of "batch-1". @param taken jobs of the same order */
export function partJob(job: string, taken: readonly string[]): string {
  const base = job.split('.')[0] ?? job
  for (let n = 2; ; n++) if (!taken.includes(`${base}.${n}`)) return `${base}.${n}`
}
/** The number of a part, 1 for a batch that is whole or its first part. */
export const partOf = (job: string): number => Number(job.split('.')[1] ?? 1)

/**
 * Splits a chain in two that go through the shop apart. What is made once for all of it (screens, plates) stays with the first part; every other
 * step is set up twice, and its run minutes are shared out by pieces. Refused where work on the pieces has begun.
 * @param here blanks that are here for it, by item: the first part. Halves of each size where all or none of them are
 */
export function splitSteps(
  chain: readonly SplitStep[],
  here: ReadonlyMap<string, number>,
  taken: readonly string[],
): Result<Split> {
  const steps = [...chain].filter(s => s.state !== 'dropped').sort((a, b) => a.position - b.position)
  const job = steps[0]?.job
  if (!job || isAfter(job) || isRemake(job))
    return refuse('split', 'Only the work on an order’s own pieces can be split.')
  const work = steps.filter(s => s.recipe.phase === 'work')
  const begun = work.find(s => s.state !== 'waiting' || s.good + s.spoiled > 0)
  if (begun) return refuse('begun', `“${begun.title}” has begun: what is in work stays together.`)
  const whole = new Map<string, number>()
  for (const s of work)
    for (const z of s.sizes) whole.set(z.itemId, Math.max(whole.get(z.itemId) ?? 0, z.quantity))
  const all = [...whole.values()].reduce((a, b) => a + b, 0)
  if (all < 2) return refuse('split', 'One piece cannot be split.')
  let first = new Map([...whole].map(([item, n]) => [item, Math.min(n, Math.max(0, here.get(item) ?? 0))]))
  const some = [...first.values()].reduce((a, b) => a + b, 0)
  if (some === 0 || some === all) {
    // The odd piece goes to the first part of one size and to the second of the next.
    let up = true
    first = new Map(
      [...whole].map(([item, n]) => {
        const half = up ? Math.ceil(n / 2) : Math.floor(n / 2)
        if (n % 2) up = !up
        return [item, half]
      }),
    )
  }
  const split: Split = { first: [], gone: [], second: [] }
  const next = partJob(job, taken)
  for (const s of work) {
    const a: SizeCount[] = []
    const b: SizeCount[] = []
    const left = new Map(first)
    for (const z of s.sizes) {
      const mine = Math.min(z.quantity, left.get(z.itemId) ?? 0)
      left.set(z.itemId, (left.get(z.itemId) ?? 0) - mine)
      if (mine > 0) a.push({ ...z, quantity: mine })
      if (z.quantity > mine) b.push({ ...z, quantity: z.quantity - mine })
    }
    const count = (list: SizeCount[]) => list.reduce((n, z) => n + z.quantity, 0)
    const [p1, p2] = [count(a), count(b)]
    if (p2 === 0) continue
    const whole = p1 + p2
    const run1 = p1 === 0 ? 0 : Math.round((s.runMinutes * p1) / whole)
    const { id, state: _s, good: _g, spoiled: _p, ...step } = s
    if (p1 === 0) split.gone.push(id)
    else
      split.first.push({
        id,
        pieces: p1,
        sizes: a,
        runMinutes: Math.max(1, run1),
        recipe: shareOf(s.recipe, p1 / whole),
      })
    split.second.push({
      ...step,
      job: next,
      position: split.second.length + 1,
      pieces: p2,
      sizes: b,
      runMinutes: Math.max(1, s.runMinutes - run1),
      recipe: shareOf(s.recipe, p2 / whole),
    })
  }
  return split.second.length && split.gone.length < work.length
    ? ok(split)
    : refuse('split', 'There is nothing to split here.')
}

/** Sheets are cut from whole ones in each part: rounded up. Screens and set-ups are needed as often as before. */
const shareOf = (recipe: StepRecipe, share: number): StepRecipe => ({
  ...recipe,
  counted: isOnce(recipe.counted.per)
    ? recipe.counted
    : { ...recipe.counted, units: Math.ceil(recipe.counted.units * share - 1e-9) },
})

/** What a part still needs of its blanks, by item; nothing once work on them has begun. */
export function blanksOfPart(
  steps: readonly { state: string; sizes: readonly SizeCount[]; recipe: Pick<StepRecipe, 'onBlank'> }[],
): Map<string, number> {
  const need = new Map<string, number>()
  const onBlank = steps.filter(s => s.recipe.onBlank && s.state !== 'dropped')
  if (onBlank.some(s => s.state !== 'waiting')) return need
  for (const s of onBlank)
    for (const z of s.sizes) need.set(z.itemId, Math.max(need.get(z.itemId) ?? 0, z.quantity))
  return need
}

/**
 * Shares out what is missing of an order's blanks among its parts: the first part is served first.
 * @param parts what each part needs, in turn
 * @param missing pieces that the order lacks, by item
 * @returns pieces that each part lacks, by item
 */
export function missingByPart(
  parts: readonly ReadonlyMap<string, number>[],
  missing: ReadonlyMap<string, number>,
): Map<string, number>[] {
  const left = new Map(missing)
  // From the last part on: what is missing is missing there.
  const lacks = [...parts].reverse().map(need => {
    const own = new Map<string, number>()
    for (const [item, n] of need) {
      const m = Math.min(n, left.get(item) ?? 0)
      if (m > 0) own.set(item, m)
      left.set(item, (left.get(item) ?? 0) - m)
    }
    return own
  })
  return lacks.reverse()
}
