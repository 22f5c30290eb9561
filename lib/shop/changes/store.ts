import 'server-only'
import { z } from 'zod'
import { type Prisma, type Tx, transaction } from '@/lib/server/database'
import { type Actor, record } from '@/lib/server/history'
import { ok, type Result, refuse } from '@/lib/units/result'
import type { Instant } from '@/lib/units/time'
import { type Closed, closedSchema } from '../crew'
import type { ShopInput } from '../shop-input'
import type { MachineCost, StationKind, WeekHours } from '../stations'
import type { TermKind } from '../store'

/** What can be said anew of somebody who works here. The wage, minor units an hour, and the week's hours count from `from`. */
export type MemberChange = {
  name: string
  skills: StationKind[]
  hours: WeekHours
  wage: number
  from: Instant
  retired: boolean
}

/** What can be said anew of a station. What it costs and its hours count from `from`; out of use it is at once. */
export type StationChange = {
  name: string
  bedWidthMm: number | null
  bedHeightMm: number | null
  heads: number | null
  hours: WeekHours
  cost: MachineCost | null
  from: Instant
  retired: boolean
}

const json = (value: unknown) => JSON.parse(JSON.stringify(value ?? null)) as Prisma.InputJsonValue
const same = (a: unknown, b: unknown): boolean => JSON.stringify(json(a)) === JSON.stringify(json(b))
const past = (what: string) =>
  refuse(
    'past',
    `${what} counts from today or later: what was worked before stays at what it was worked at.`,
    'from',
  )
const changedMeanwhile = (name: string) =>
  refuse(
    'changed',
    `Somebody changed ${name} meanwhile: load the page again to see what stands there now, then change what you wish.`,
  )

/** Adds a term where it differs from the one that would count then. @returns what counted before, where one was added */
async function addTerm(
  tx: Tx,
  kind: TermKind,
  ref: string,
  data: unknown,
  first: unknown,
  { from, by, now }: { from: Instant; by: Actor; now: Instant },
): Promise<{ before: unknown } | null> {
  const counting = await tx.term.findFirst({
    where: { kind, ref, fromAt: { lte: new Date(from) } },
    orderBy: [{ fromAt: 'desc' }, { id: 'desc' }],
  })
  const before = counting ? counting.data : (first ?? null)
  if (same(before, data)) return null
  await tx.term.create({
    data: {
      kind,
      ref,
      fromAt: new Date(from),
      data: json(data),
      byName: by.name,
      createdAt: new Date(now),
    },
  })
  return { before }
}

/** Takes somebody on. @returns the new member's id */
export function hireMember(
  member: Omit<MemberChange, 'from' | 'retired'>,
  by: Actor,
  now: Instant,
): Promise<Result<string>> {
  return transaction(async tx => {
    if (await tx.crewMember.count({ where: { name: member.name, retired: false } }))
      return refuse('taken', `${member.name} works here already: tell the two apart by name.`, 'name')
    const row = await tx.crewMember.create({
      data: {
        name: member.name,
        skills: member.skills,
        hours: json(member.hours),
        closed: [],
        wagePerHour: member.wage,
      },
    })
    await record({
      by,
      what: `took on ${member.name}`,
      entity: 'crew',
      ref: row.id,
      after: json(member),
      at: new Date(now),
    })
    return ok(row.id)
  })
}

/** Changes a member, if nobody did since `version` was read. Work already booked keeps its wage. */
export function changeMember(
  id: string,
  version: number,
  change: MemberChange,
  by: Actor,
  now: Instant,
): Promise<Result<{ dated: boolean }>> {
  return transaction(async tx => {
    const row = await tx.crewMember.findUnique({ where: { id } })
    if (!row) return refuse('no-member', 'This person is not in the crew any more: open the list again.')
    if (row.version !== version) return changedMeanwhile(row.name)
    if (change.from < now) return past('A wage or a week')
    if (await tx.crewMember.count({ where: { name: change.name, retired: false, id: { not: id } } }))
      return refuse('taken', `${change.name} works here already: tell the two apart by name.`, 'name')
    const { wage, from, hours, ...rest } = change
    const added = await addTerm(tx, 'wage', id, wage, row.wagePerHour, { from, by, now })
    const week = await addTerm(tx, 'hours', id, hours, row.hours, { from, by, now })
    await tx.crewMember.update({ where: { id }, data: { ...rest, version: { increment: 1 } } })
    await record({
      by,
      what: `changed ${change.name}${added ? ': wage' : ''}`,
      entity: 'crew',
      ref: id,
      before: json({
        ...{ name: row.name, skills: row.skills, retired: row.retired },
        ...(added ? { wage: added.before } : {}),
        ...(week ? { hours: week.before } : {}),
      }),
      after: json({
        ...rest,
        ...(added ? { wage } : {}),
        ...(week ? { hours } : {}),
        ...(added || week ? { from: new Date(from).toISOString() } : {}),
      }),
      at: new Date(now),
    })
    return ok({ dated: added !== null || week !== null })
  })
}

/** Changes a station, if nobody did since `version` was read. Hours already booked keep their rate. */
export function changeStation(
  code: string,
  version: number,
  change: StationChange,
  by: Actor,
  now: Instant,
): Promise<Result<{ dated: boolean }>> {
  return transaction(async tx => {
    const row = await tx.station.findUnique({ where: { code } })
    if (!row) return refuse('no-station', 'This station is not here any more: open the list again.')
    if (row.version !== version) return changedMeanwhile(row.name)
    if (change.from < now) return past('What a machine costs and when it is used')
    if (change.retired) {
      const busy = await tx.jobStep.count({
        where: { stationId: row.id, state: { in: ['running', 'paused'] } },
      })
      if (busy) return refuse('busy', `${row.name} has work on it: finish or move that first.`, 'retired')
    }
    const { cost, from, name, hours, retired, ...bed } = change
    const facts = row.facts as { cost?: unknown } & { [key in keyof typeof bed]?: unknown }
    const added = await addTerm(tx, 'machine', row.id, cost, facts.cost, { from, by, now })
    const week = await addTerm(tx, 'hours', row.id, hours, row.hours, { from, by, now })
    await addTerm(tx, 'retired', row.id, retired, row.retired, { from: now, by, now })
    await tx.station.update({
      where: { code },
      data: {
        name,
        retired,
        facts: json({ ...facts, ...bed }),
        version: { increment: 1 },
      },
    })
    await record({
      by,
      what: `changed ${name}${added ? ': what it costs' : ''}`,
      entity: 'station',
      ref: row.id,
      before: json({
        ...{ name: row.name, retired: row.retired },
        ...Object.fromEntries(Object.keys(bed).map(k => [k, facts[k as keyof typeof bed] ?? null])),
        ...(added ? { cost: added.before } : {}),
        ...(week ? { hours: week.before } : {}),
      }),
      after: json({
        name,
        retired,
        ...bed,
        ...(added ? { cost } : {}),
        ...(week ? { hours } : {}),
        ...(added || week ? { from: new Date(from).toISOString() } : {}),
      }),
      at: new Date(now),
    })
    return ok({ dated: added !== null || week !== null })
  })
}

const closedList = (value: unknown): Closed[] => z.array(closedSchema).parse(value)

/** Whom a closure is for: the whole shop, one station, or one member of the crew. */
export type ClosedFor = { who: 'all' } | { who: 'station' | 'crew'; id: string }

/** Closes the shop, a station or a person's time for a span that is not over yet. @returns how many were closed */
export function close(whom: ClosedFor, span: Closed, by: Actor, now: Instant): Promise<Result<number>> {
  return transaction(async tx => {
    if (Date.parse(span.to) <= Date.parse(span.from))
      return refuse('span', 'The last day comes before the first: change one of the two.', 'to')
    if (Date.parse(span.to) <= now)
      return refuse('past', 'This span is over: a closure is for today or later.', 'to')
    if (Date.parse(span.to) - Date.parse(span.from) > 400 * 86_400_000)
      return refuse('span', 'That is longer than a year: close it in parts, or take it out of use.', 'to')
    const one = whom.who === 'all' ? {} : { id: whom.id }
    const stations =
      whom.who === 'crew' ? [] : await tx.station.findMany({ where: { ...one, retired: false } })
    const crew =
      whom.who === 'station' ? [] : await tx.crewMember.findMany({ where: { ...one, retired: false } })
    for (const row of stations)
      await tx.station.update({
        where: { id: row.id },
        data: { closed: json([...closedList(row.closed), span]), version: { increment: 1 } },
      })
    for (const row of crew)
      await tx.crewMember.update({
        where: { id: row.id },
        data: { closed: json([...closedList(row.closed), span]), version: { increment: 1 } },
      })
    const name = whom.who === 'all' ? 'the shop' : ([...stations, ...crew][0]?.name ?? '')
    if (!name || stations.length + crew.length === 0)
      return refuse('nobody', 'There is nobody and nothing to close: open the list again.')
    await record({
      by,
      what: `closed ${name}: ${span.why}`,
      entity: whom.who === 'all' ? 'shop' : whom.who,
      ref: whom.who === 'all' ? '1' : whom.id,
      after: json(span),
      at: new Date(now),
    })
    return ok(stations.length + crew.length)
  })
}

/** Opens again what a closure closed: the same span goes from everybody who has it. What is over stays written. */
export function reopen(span: Closed, by: Actor, now: Instant): Promise<Result<number>> {
  return transaction(async tx => {
    if (Date.parse(span.to) <= now) return refuse('past', 'This closure is over: it stays as it was.')
    let count = 0
    const without = (closed: unknown) => {
      const list = closedList(closed)
      const left = list.filter(c => !same(c, span))
      return left.length === list.length ? null : json(left)
    }
    for (const row of await tx.station.findMany()) {
      const closed = without(row.closed)
      if (!closed) continue
      await tx.station.update({ where: { id: row.id }, data: { closed, version: { increment: 1 } } })
      count++
    }
    for (const row of await tx.crewMember.findMany()) {
      const closed = without(row.closed)
      if (!closed) continue
      await tx.crewMember.update({ where: { id: row.id }, data: { closed, version: { increment: 1 } } })
      count++
    }
    if (count === 0) return refuse('gone', 'This closure is not there any more: load the page again.')
    await record({
      by,
      what: `took back a closure: ${span.why}`,
      entity: 'shop',
      ref: '1',
      before: json(span),
      at: new Date(now),
    })
    return ok(count)
  })
}

/** Whether a short check is ticked before the first piece of every run. */
export function changeFirstPiece(wanted: boolean, by: Actor, now: Instant): Promise<void> {
  return transaction(async tx => {
    const before = await tx.shop.findUniqueOrThrow({ where: { id: 1 }, select: { firstPiece: true } })
    if (before.firstPiece === wanted) return
    await tx.shop.update({ where: { id: 1 }, data: { firstPiece: wanted, version: { increment: 1 } } })
    await record({
      by,
      what: wanted
        ? 'asked for a check before the first piece'
        : 'let go of the check before the first piece',
      entity: 'shop',
      ref: 'shop',
      before,
      after: { firstPiece: wanted },
      at: new Date(now),
    })
  })
}

/** Changes the shop's name, measures, paper and address, unless somebody saved before. What was offered keeps its own words. */
export function changeShop(
  { version, ...fields }: ShopInput,
  by: Actor,
  now: Instant,
): Promise<Result<{ version: number }>> {
  return transaction(async tx => {
    const row = await tx.shop.findUniqueOrThrow({ where: { id: 1 } })
    if (row.version !== version) return changedMeanwhile('the shop')
    const before = {
      name: row.name,
      measures: row.measures,
      paper: row.paper,
      publicAddress: row.publicAddress,
    }
    if (same(before, fields)) return ok({ version })
    await tx.shop.update({ where: { id: 1 }, data: { ...fields, version: version + 1 } })
    await record({
      by,
      what: 'changed the shop',
      entity: 'shop',
      ref: 'shop',
      before: json(before),
      after: json(fields),
      at: new Date(now),
    })
    return ok({ version: version + 1 })
  })
}
