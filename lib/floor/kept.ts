import type { StepState } from './reports'

/** A report that a browser keeps until it has been sent. */
export type Kept = {
  /** Made here, once: the server counts a report by it however often it is sent. */
  formKey: string
  kind: ReportKind
  stepId: string
  /** Instant in epoch ms at which it was made, by the shop's clock as far as this device knows it. */
  at: number
  /** Who made it: nobody else's sign-in sends it. */
  by: { id: string; name: string }
  /** What people read: "1044, Press: 5 good". */
  words: string
  fields: Record<string, string>
  photo?: Blob
  /** Why the server would not have it; it then waits for a person. */
  refused?: string
  /** The server has it: it counts here until the page has been told anew. */
  sent?: boolean
  /** What the server said to it that somebody has to know, once it was sent later: kept until it has been read. */
  caution?: string
}
export const REPORT_KINDS = ['start', 'pause', 'resume', 'finish', 'misprint', 'undo'] as const
export type ReportKind = (typeof REPORT_KINDS)[number]

/** How a step stands when what this browser keeps is counted in. */
export type StandsHere = {
  state: StepState
  /** Pieces still open. */
  open: number
  /** Pieces still open by item. */
  left: { itemId: string; size: string; quantity: number }[]
  /** Whether some of it is not sent yet. */
  unsent: boolean
}

const count = (text: string | undefined) => Number.parseInt(text ?? '', 10) || 0

/** Good pieces by item of a finish, as its fields say them: `size.ITEM`; null where it says only how many. */
export function saidSizes(fields: Record<string, string>): Map<string, number> | null {
  const said = Object.entries(fields).filter(([name]) => name.startsWith('size.'))
  return said.length ? new Map(said.map(([name, value]) => [name.slice(5), count(value)])) : null
}

/**
 * Counts what is kept and not refused into how the server last said that a step stands; never what the server had heard by then.
 * @param step `heard`: form keys of the reports that are counted in it
 */
export function standsHere(
  step: {
    id: string
    state: StepState
    open: number
    left: StandsHere['left']
    heard?: readonly string[] | undefined
  },
  kept: readonly Kept[],
): StandsHere {
  let { state, open } = step
  let left = step.left.map(s => ({ ...s }))
  let unsent = false
  const take = (itemId: string, n: number) => {
    left = left.map(s => (s.itemId === itemId ? { ...s, quantity: Math.max(0, s.quantity - n) } : s))
  }
  for (const k of kept) {
    if (k.stepId !== step.id || k.refused || step.heard?.includes(k.formKey)) continue
    if (!k.sent) unsent = true
    if (k.kind === 'start' || k.kind === 'resume') state = 'running'
    if (k.kind === 'pause') state = 'paused'
    if (k.kind === 'finish') {
      open -= count(k.fields.good)
      for (const [itemId, n] of saidSizes(k.fields) ?? []) take(itemId, n)
    }
    if (k.kind === 'misprint') {
      open -= count(k.fields.quantity)
      take(k.fields.itemId ?? '', count(k.fields.quantity))
    }
    if (open <= 0 && (k.kind === 'finish' || k.kind === 'misprint')) state = 'done'
  }
  return { state, open: Math.max(0, open), left: left.filter(s => s.quantity > 0), unsent }
}

/**
 * What may be sent now, in the order in which it was made: never a report whose step has an earlier one that was refused, since it was
 * made upon that.
 */
export function toSend(kept: readonly Kept[], person: string): Kept[] {
  const blocked = new Set<string>()
  return kept.filter(k => {
    if (k.sent) return false
    if (k.refused || k.by.id !== person) blocked.add(k.stepId)
    return !blocked.has(k.stepId)
  })
}
