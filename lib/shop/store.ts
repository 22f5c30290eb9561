import 'server-only'
import { z } from 'zod'
import { db, kept } from '@/lib/server/database'
import type { MeasureSystem } from '@/lib/units/measure'
import { type Instant, instant, instantOf } from '@/lib/units/time'
import {
  type BlankKind,
  compareSizes,
  type FibreContent,
  fibreContentSchema,
  hexSchema,
  type Size,
} from './blanks'
import { type Closed, type CrewMember, closedSchema } from './crew'
import type { Paper } from './paper'
import { type Rates, ratesSchema } from './rates'
import {
  datedHours,
  type MachineCost,
  machineCostSchema,
  type Station,
  stationKindSchema,
  type WeekHours,
  weekHoursSchema,
} from './stations'

/** What holds for every screen. */
export type ShopFacts = {
  name: string
  currency: string
  timeZone: string
  measures: MeasureSystem
  /** What offers are laid out for. */
  paper: Paper
  /** Under which customers reach this server, https://…; empty: as a page was asked for. */
  publicAddress: string
  /** Whether a short check is ticked before the first piece of a run. */
  firstPiece: boolean
  demo: boolean
  version: number
}

/** The shop, or null while nobody has set one up. */
export const findShop = (): Promise<ShopFacts | null> =>
  kept(['Shop'], 'shop', async () => {
    const row = await db().shop.findUnique({ where: { id: 1 } })
    if (!row) return null
    return {
      ...row,
      measures: row.measures === 'imperial' ? 'imperial' : 'metric',
      paper: row.paper === 'letter' ? 'letter' : 'a4',
    }
  })

/** The shop. @throws when nobody has set one up: only the welcome page works then. */
export async function shop(): Promise<ShopFacts> {
  const found = await findShop()
  if (!found) throw new Error('There is no shop in this database yet.')
  return found
}

/** The card of rates that counts at an instant: the newest whose day has come, else the first there is. */
export async function rateCardAt(at: Instant): Promise<Pick<RateCard, 'id' | 'rates'>> {
  const cards = await rateCards()
  const card = cards.find(c => c.validFrom <= at) ?? cards.at(-1)
  if (!card) throw new Error('The shop has no rates yet.')
  return card
}

/** The rates that count at an instant. */
export const ratesAt = async (at: Instant): Promise<Rates> => (await rateCardAt(at)).rates

/** The rates of one card, whatever counts now; null where there is no such card. */
export async function ratesOf(cardId: string): Promise<Rates | null> {
  return (await rateCards()).find(c => c.id === cardId)?.rates ?? null
}

/** A card of rates, the instant from which it counts, and when it was set. */
export type RateCard = { id: string; validFrom: Instant; setAt: Instant; byName: string; rates: Rates }

/** Every card of rates, newest first. */
export const rateCards = (): Promise<readonly RateCard[]> =>
  kept(['RateCard'], 'rate cards', async () => {
    const rows = await db().rateCard.findMany({ orderBy: [{ validFrom: 'desc' }, { createdAt: 'desc' }] })
    return rows.map(row => ({
      id: row.id,
      validFrom: instantOf(row.validFrom),
      setAt: instantOf(row.createdAt),
      byName: row.byName,
      rates: ratesSchema.parse(row.data),
    }))
  })

/** Adds a card of rates that counts from an instant. Earlier cards stay as they are. */
export async function addRateCard(card: { validFrom: Instant; rates: Rates; byName: string }): Promise<void> {
  await db().rateCard.create({
    data: { validFrom: new Date(card.validFrom), data: ratesSchema.parse(card.rates), byName: card.byName },
  })
}

/** A station with what its row adds to the trade's facts. */
export type StationRow = Station & { code: string; position: number; closed: Closed[]; version: number }

const stationFacts = z.object({
  bedWidthMm: z.number().nullable(),
  bedHeightMm: z.number().nullable(),
  heads: z.int().nullable(),
  cost: machineCostSchema.nullable(),
})

/** What is set with a day from which it counts: a wage, what a machine costs, week hours, and whether a station is out of use. */
export type TermKind = 'wage' | 'machine' | 'hours' | 'retired'

/** A wage or a machine's cost as it was set, and the instant from which it counts. */
export type Term = { ref: string; from: Instant; data: unknown; byName: string; setAt: Instant }

/** Every term of one kind that was set, the latest first. @param ref only of this one */
export async function terms(kind: TermKind, ref?: string): Promise<readonly Term[]> {
  const all = await kept(['Term'], `terms ${kind}`, async () => {
    const rows = await db().term.findMany({ where: { kind }, orderBy: [{ fromAt: 'desc' }, { id: 'desc' }] })
    return rows.map(r => ({
      ref: r.ref,
      from: instantOf(r.fromAt),
      data: r.data,
      byName: r.byName,
      setAt: instantOf(r.createdAt),
    }))
  })
  return ref ? all.filter(t => t.ref === ref) : all
}

/** What counts at an instant for each: the latest that has begun; where none has, what stood there first. */
async function termsAt(kind: TermKind, at: Instant | undefined): Promise<Map<string, unknown>> {
  const counts = new Map<string, unknown>()
  if (at === undefined) return counts
  for (const t of await terms(kind)) if (t.from <= at && !counts.has(t.ref)) counts.set(t.ref, t.data)
  return counts
}

/** Names an instant by the terms that have begun: two of one name have the same terms. */
const begun = async (kind: TermKind, at: Instant | undefined): Promise<number | null> =>
  at === undefined ? null : (await terms(kind)).filter(t => t.from <= at).length

/** The week of each station or person with its changes; those it came with stand in its own row. */
async function weeks(): Promise<(ref: string, first: unknown) => WeekHours> {
  const changes = new Map<string, { from: Instant; hours: WeekHours }[]>()
  for (const t of (await terms('hours')).toReversed())
    changes.set(t.ref, [
      ...(changes.get(t.ref) ?? []),
      { from: t.from, hours: weekHoursSchema.parse(t.data) },
    ])
  return (ref, first) => datedHours(weekHoursSchema.parse(first), changes.get(ref) ?? [])
}

/** Stations in the shop's order, retired ones left out. @param at the instant whose machine costs count */
export async function stations(at?: Instant): Promise<StationRow[]> {
  return (await everyStation(at)).filter(s => s.outSince === null)
}

/**
 * Every station that the shop ever had, in its order, with the instant since which it is out of use; 0 where nobody wrote that down.
 * @param at the instant whose machine costs count
 */
export const everyStation = async (
  at?: Instant,
): Promise<readonly (StationRow & { outSince: Instant | null })[]> =>
  kept(['Station', 'Term'], `stations ${await begun('machine', at)}`, () => readStations(at))

async function readStations(at?: Instant): Promise<(StationRow & { outSince: Instant | null })[]> {
  const rows = await db().station.findMany({ orderBy: { position: 'asc' } })
  const costs = await termsAt('machine', at)
  const week = await weeks()
  const out = new Map<string, Instant>()
  if (rows.some(r => r.retired))
    for (const t of await terms('retired')) if (t.data === true && !out.has(t.ref)) out.set(t.ref, t.from)
  return rows.map(row => ({
    outSince: row.retired ? (out.get(row.id) ?? instant(0)) : null,
    id: row.id,
    code: row.code,
    position: row.position,
    version: row.version,
    name: row.name,
    kind: stationKindSchema.parse(row.kind),
    state: row.state,
    hours: week(row.id, row.hours),
    closed: z.array(closedSchema).parse(row.closed),
    ...stationFacts.parse(row.facts),
    ...(costs.has(row.id) ? { cost: machineCostSchema.nullable().parse(costs.get(row.id)) } : {}),
  }))
}

/** Adds a station to the shop. */
export async function addStation(station: Omit<StationRow, 'id' | 'version'>): Promise<string> {
  const { bedWidthMm, bedHeightMm, heads, cost, ...rest } = station
  const row = await db().station.create({
    data: { ...rest, facts: stationFacts.parse({ bedWidthMm, bedHeightMm, heads, cost }) },
  })
  return row.id
}

/** What one machine costs at any instant, as it was set then. */
export async function machineCosts(stationId: string): Promise<(at: Instant) => MachineCost | null> {
  const row = await db().station.findUniqueOrThrow({ where: { id: stationId } })
  const first = stationFacts.parse(row.facts).cost
  const set = (await terms('machine', stationId)).map(t => ({
    from: t.from,
    cost: machineCostSchema.nullable().parse(t.data),
  }))
  return at => {
    const counting = set.find(t => t.from <= at)
    return counting ? counting.cost : first
  }
}

/** A crew member with the sign-in and version of the row. */
export type CrewRow = CrewMember & { userId: string | null; version: number }

/** The crew, retired members left out, by name. @param at the instant whose wages count */
export const crew = async (at?: Instant): Promise<readonly CrewRow[]> =>
  kept(['CrewMember', 'Term'], `crew ${await begun('wage', at)}`, () => readCrew(at))

async function readCrew(at?: Instant): Promise<CrewRow[]> {
  const rows = await db().crewMember.findMany({ where: { retired: false }, orderBy: { name: 'asc' } })
  const wages = await termsAt('wage', at)
  const week = await weeks()
  return rows.map(row => ({
    id: row.id,
    name: row.name,
    userId: row.userId,
    version: row.version,
    skills: z.array(stationKindSchema).parse(row.skills),
    hours: week(row.id, row.hours),
    closed: z.array(closedSchema).parse(row.closed),
    wagePerHour: z.int().catch(row.wagePerHour).parse(wages.get(row.id)),
  }))
}

/** Adds somebody to the crew. */
export async function addCrewMember(member: Omit<CrewRow, 'id' | 'version'>): Promise<string> {
  const row = await db().crewMember.create({ data: { ...member, skills: [...member.skills] } })
  return row.id
}

/** A colour of a style with the sizes it comes in, smallest first. */
export type StyleColour = {
  name: string
  hex: string
  sizes: { itemId: string; sku: string; size: string }[]
}
/** A style of blank as the counter offers it. */
export type StyleRow = {
  id: string
  code: string
  name: string
  kind: BlankKind
  fibres: FibreContent
  colours: StyleColour[]
}

/** Styles with their colours and sizes, retired ones left out, by name. */
export const styles = (): Promise<readonly StyleRow[]> =>
  kept(['BlankStyle', 'StockItem'], 'styles', readStyles)

async function readStyles(): Promise<StyleRow[]> {
  const rows = await db().blankStyle.findMany({
    where: { retired: false },
    orderBy: { name: 'asc' },
    include: { items: { where: { retired: false }, orderBy: { sku: 'asc' } } },
  })
  return rows.map(row => {
    const colours = new Map<string, StyleColour>()
    for (const item of row.items) {
      if (!item.colour || !item.size) continue
      const colour = colours.get(item.colour) ?? {
        name: item.colour,
        hex: hexSchema.catch('#ffffff').parse(item.colourHex),
        sizes: [],
      }
      colour.sizes.push({ itemId: item.id, sku: item.sku, size: item.size })
      colours.set(item.colour, colour)
    }
    return {
      id: row.id,
      code: row.code,
      name: row.name,
      kind: row.kind as BlankKind,
      fibres: fibreContentSchema.parse(row.fibres),
      colours: [...colours.values()].map(c => ({
        ...c,
        sizes: c.sizes.sort((a, b) => compareSizes(a.size as Size, b.size as Size)),
      })),
    }
  })
}
