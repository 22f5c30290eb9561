import 'server-only'
import { z } from 'zod'
import { moveOrderTx } from '@/lib/orders/store'
import { type SizeCount, sizeCountsSchema } from '@/lib/planning/recipe-snapshot'
import { replanTx } from '@/lib/planning/store'
import type { Prisma, Tx } from '@/lib/server/database'
import { undoFramesTx } from '@/lib/stock/frames/store'
import { must, promiseUnspoiledTx, takeBackReportTx } from '@/lib/stock/store'
import type { Result } from '@/lib/units/result'
import type { StepState } from '../reports'
import {
  busyWith,
  type Loaded,
  type Reported,
  type Reporting,
  remember,
  report,
  type StepRow,
  write,
} from '../store'
import { decideCounter, kindWords, stateAfter } from './counter'

/** What later steps had to work before a misprint took its pieces off them. */
const lessened = z.array(z.object({ id: z.string(), pieces: z.int(), runMinutes: z.int() }))
const json = (value: unknown) => JSON.parse(JSON.stringify(value)) as Prisma.InputJsonValue

/**
 * Puts a wrong report right by a counter-report: the step stands as before it, what it drew is back on the shelf, the time that it booked
 * is booked back, and a misprint's remake is off the list. Nothing is wiped out: both reports stay in the book.
 */
export const takeBackReport = (
  what: Reporting & { reportId: string; why: string },
): Promise<Result<Reported>> => {
  const wrong = what.reportId
  return report({ ...what, reportId: '' }, async (tx, on, made) => {
    const { by, now, cameAt } = made
    const { step } = on
    const misprint = await tx.misprint.findUnique({ where: { reportId: wrong } })
    const remake = misprint?.remake
      ? await tx.jobStep.findMany({ where: { orderId: on.order.id, job: misprint.remake } })
      : []
    const done = must(
      decideCounter(
        {
          ...on.facts,
          reports: step.reports,
          next: nextOf(on),
          remake: misprint && { started: remake.some(s => s.state !== 'waiting') },
          busy: step.stationId !== null && (await busyWith(tx, step.stationId, step.id)) !== null,
        },
        wrong,
      ),
    )
    await takeBackReportTx(tx, wrong, by, now, misprint !== null)
    await takeTimeBack(tx, wrong, made)
    await undoFramesTx(tx, wrong, by, now)
    if (misprint) {
      await tx.misprint.update({ where: { id: misprint.id }, data: { undone: true } })
      await tx.jobStep.updateMany({
        where: { orderId: on.order.id, job: misprint.remake ?? '' },
        data: { state: 'dropped', version: { increment: 1 } },
      })
      // Where no blank was on the shelf, one was promised to the remake instead.
      const drawn = (await tx.movement.count({ where: { reportId: wrong, itemId: misprint.itemId } })) > 0
      await promiseUnspoiledTx(tx, on.order.id, misprint, drawn, misprint.fromAllowance)
      const later = lessened.parse(misprint.later)
      for (const was of later) {
        const row = on.chain.find(r => r.id === was.id)
        if (row) await grow(tx, row, was, on.sizes, misprint)
      }
    }
    const waiting = done.state === 'waiting'
    await tx.jobStep.update({
      where: { id: step.id },
      data: {
        good: done.good,
        spoiled: done.spoiled,
        state: done.state,
        version: { increment: 1 },
        ...(done.state === 'done' ? {} : { finishedAt: null }),
        ...(waiting ? { stationId: null, startedAt: null } : {}),
      },
    })
    await write(tx, made, 'undo', { undoes: wrong, note: what.why.trim().slice(0, 500) })
    await remember(on, made, `took back ${kindWords(done.kind)} of`, {
      state: done.state,
      good: done.good,
      spoiled: done.spoiled,
      why: what.why.trim().slice(0, 500),
    })
    if (on.order.state === 'ready' && done.state !== 'done')
      must(await moveOrderTx(tx, on.order.id, 'making', { by, now, what: 'a report was taken back' }))
    await replanTx(tx, `a report on “${step.title}” of order ${on.order.number} was taken back`, cameAt)
    return { caution: done.caution }
  })
}

/** Gives a later step of the chain the pieces back that a misprint had taken off it. */
async function grow(
  tx: Tx,
  row: StepRow,
  was: { pieces: number; runMinutes: number },
  sizes: readonly SizeCount[],
  lost: Omit<SizeCount, 'colour'>,
) {
  const had = sizeCountsSchema.parse(row.sizes)
  const colour = sizes.find(s => s.itemId === lost.itemId)?.colour ?? ''
  const grown = had.some(s => s.itemId === lost.itemId)
    ? had.map(s => (s.itemId === lost.itemId ? { ...s, quantity: s.quantity + lost.quantity } : s))
    : [...had, { itemId: lost.itemId, size: lost.size, colour, quantity: lost.quantity }]
  const pieces = row.pieces + lost.quantity
  await tx.jobStep.update({
    where: { id: row.id },
    data: {
      pieces,
      sizes: json(grown),
      runMinutes: Math.ceil((was.runMinutes * pieces) / Math.max(1, was.pieces)),
      state: stateAfter(row.reports, pieces - row.good - row.spoiled),
      finishedAt: null,
      version: { increment: 1 },
    },
  })
}

/** Books the time of a report back: it is worked anew, from the same beginning, by the report that comes instead. */
async function takeTimeBack(tx: Tx, wrong: string, { now, reportId }: Reporting & { reportId: string }) {
  for (const log of await tx.workLog.findMany({ where: { reportId: wrong } })) {
    const { id, labourSeconds, machineSeconds, labourMinor, machineMinor, pieces, ...rest } = log
    await tx.workLog.create({
      data: {
        ...rest,
        toAt: new Date(Math.max(now, log.toAt.getTime())),
        labourSeconds: -labourSeconds,
        machineSeconds: -machineSeconds,
        labourMinor: -labourMinor,
        machineMinor: -machineMinor,
        pieces: -pieces,
        reportId,
        counters: id,
      },
    })
  }
}

const worksAny = (s: StepRow, items: ReadonlySet<string>): boolean =>
  sizeCountsSchema.parse(s.sizes).some(z => items.has(z.itemId))

function nextOf(on: Loaded) {
  const items = new Set(on.sizes.map(s => s.itemId))
  const next = on.chain.find(
    s => s.position > on.step.position && s.state !== 'dropped' && worksAny(s, items),
  )
  if (!next) return null
  // It may work other blanks too: those it has counted need not be from here.
  const others = Math.max(0, next.pieces - (on.step.pieces - on.step.spoiled))
  return {
    title: next.title,
    state: next.state as StepState,
    worked: Math.max(0, next.good + next.spoiled - others),
  }
}
