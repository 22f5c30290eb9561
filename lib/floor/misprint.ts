import type { SizeCount } from '@/lib/planning/recipe-snapshot'
import { ok, type Result, refuse } from '@/lib/units/result'
import { type Before, handedOn, type StepFacts } from './reports'

/** Why a piece was spoiled, as the floor says it: it decides what is looked at next. */
export const MISPRINT_REASONS = ['art', 'alignment', 'heat', 'ink', 'blank', 'person'] as const
export type MisprintReason = (typeof MISPRINT_REASONS)[number]

/** What people read for each reason. */
export const MISPRINT_WORDS: Record<MisprintReason, string> = {
  art: 'the artwork',
  alignment: 'crooked or misplaced',
  heat: 'heat or pressure',
  ink: 'ink, film or powder',
  blank: 'a flaw in the blank',
  person: 'a slip of the hand',
}

/** A step of a chain as a remake needs to know it. */
export type ChainStep = {
  id: string
  title: string
  position: number
  pieces: number
  good: number
  spoiled: number
  state: 'waiting' | 'running' | 'paused' | 'done' | 'dropped'
  sizes: SizeCount[]
}

/** What becomes of the steps after the one where pieces were spoiled: they have fewer to do, or none. */
export type Shrunk = { id: string; pieces: number; sizes: SizeCount[]; dropped: boolean; done: boolean }

export type Misprint = {
  size: string
  itemId: string
  quantity: number
  /** The step where it happened, after the report. */
  here: { good: number; spoiled: number; complete: boolean }
  /** Later steps of the same chain. */
  later: Shrunk[]
}

const less = (sizes: SizeCount[], itemId: string, by: number): SizeCount[] =>
  sizes
    .map(s => (s.itemId === itemId ? { ...s, quantity: Math.max(0, s.quantity - by) } : s))
    .filter(s => s.quantity > 0)

/**
 * Decides a misprint: which pieces are lost at this step, and what the later steps of the chain have less to do. The lost
 * pieces come back as a chain of their own from the first step on, since a new blank needs everything the old one had.
 * A piece found bad after its step was done counts from the good ones that have not gone on.
 */
export function decideMisprint(
  f: StepFacts & { before: Before | null; sizes: SizeCount[] },
  chain: readonly ChainStep[],
  stepId: string,
  what: { itemId: string; quantity: number; alreadySpoiledOfSize: number },
): Result<Misprint> {
  const at = `“${f.title}” of order ${f.order.number}`
  if (!['agreed', 'making', 'ready'].includes(f.order.state))
    return refuse(
      'order-state',
      `Order ${f.order.number} is not in the shop any more: settle it at the counter.`,
    )
  if (f.state === 'waiting')
    return refuse('not-running', `${at} is not started: report the misprint at the step where it happened.`)
  if (f.state === 'dropped')
    return refuse('dropped', `${at} is not needed any more: nothing can be spoiled there.`)
  if (!Number.isSafeInteger(what.quantity) || what.quantity < 1)
    return refuse('count', 'Spoiled pieces are a whole number, 1 or more.', 'quantity')
  const size = f.sizes.find(s => s.itemId === what.itemId)
  if (!size) return refuse('size', `${at} has no such size: choose one of its sizes.`, 'itemId')
  if (what.quantity + what.alreadySpoiledOfSize > size.quantity)
    return refuse(
      'count',
      `${at} has ${size.quantity} of size ${size.size}${
        what.alreadySpoiledOfSize ? `, ${what.alreadySpoiledOfSize} of them spoiled already` : ''
      }: ${what.quantity} more cannot be spoiled. Count again.`,
      'quantity',
    )
  const here = chain.find(s => s.id === stepId)
  if (!here) throw new RangeError(`Step ${stepId} is not in its own chain.`)
  const after = chain
    .filter(
      s => s.position > here.position && s.state !== 'dropped' && s.sizes.some(z => z.itemId === what.itemId),
    )
    .sort((a, b) => a.position - b.position)
  const next = after[0]
  // The next step may work other blanks too: those it has counted need not be from here.
  const others = next ? Math.max(0, next.pieces - f.pieces) : 0
  const gone = next ? Math.max(0, next.good + next.spoiled - others) : 0
  const there = f.state === 'done' ? f.good + f.spoiled : handedOn(f, f.before)
  const left = there - f.spoiled - gone
  if (what.quantity > left)
    return refuse(
      'count',
      left > 0
        ? `Only ${left === 1 ? '1 piece is' : `${left} pieces are`} at ${at}; the others have gone on to “${next?.title}”: report those there.`
        : `No piece is at ${at} now: report the misprint at the step where the pieces are.`,
      'quantity',
    )
  // Pieces in hand are lost first; those already counted as good only when none are left in hand.
  const inHand = there - f.good - f.spoiled
  const good = f.good - Math.max(0, what.quantity - Math.max(0, inHand))
  const spoiled = f.spoiled + what.quantity
  return ok({
    size: size.size,
    itemId: size.itemId,
    quantity: what.quantity,
    here: { good, spoiled, complete: good + spoiled >= f.pieces },
    later: after.map(s => {
      const sizes = less(s.sizes, what.itemId, what.quantity)
      const pieces = s.pieces - what.quantity
      return {
        id: s.id,
        pieces,
        sizes,
        dropped: pieces <= 0,
        done: pieces > 0 && s.state !== 'waiting' && s.good + s.spoiled >= pieces,
      }
    }),
  })
}
