import { z } from 'zod'
import { stationKindSchema, weekHoursSchema } from './stations'

/** A span in which a station or a person does not work; instants as ISO text with an offset. */
export const closedSchema = z.object({
  from: z.iso.datetime({ offset: true }),
  to: z.iso.datetime({ offset: true }),
  why: z.string().max(200),
})
export type Closed = z.infer<typeof closedSchema>

/** Somebody who works at stations: on the plan by skills and hours, on the books by wage. */
export const crewMemberSchema = z.object({
  id: z.string().min(1).max(64),
  name: z.string().trim().min(1, 'Type a name.').max(120, 'A name has at most 120 characters.'),
  skills: z.array(stationKindSchema),
  hours: weekHoursSchema,
  closed: z.array(closedSchema),
  /** Minor units per hour. */
  wagePerHour: z.int().min(0).max(10_000_000),
})
export type CrewMember = z.infer<typeof crewMemberSchema>
