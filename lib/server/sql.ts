import 'server-only'
import { onPostgres, Prisma } from './database'

// The few words of SQL that SQLite and PostgreSQL do not share. Everything else in a store is written so that both understand it:
// names in double quotes, TRUE instead of 1, CASE instead of MAX of two values, IS DISTINCT FROM, -> and ->> into JSON.

/** A list in parts of at most so many, in its order: no question names more values than a database takes. None of an empty list. */
export function partsOf<T>(list: readonly T[], size: number): T[][] {
  const parts: T[][] = []
  for (let from = 0; from < list.length; from += size) parts.push(list.slice(from, from + size))
  return parts
}

/** SQL that is one thing on SQLite and another on PostgreSQL. */
const either = (sqlite: () => Prisma.Sql, postgres: () => Prisma.Sql): Prisma.Sql =>
  onPostgres() ? postgres() : sqlite()

/** Has SQLite go through this index; PostgreSQL finds its way by itself. Stands after a table's name. */
export const through = (index: string): Prisma.Sql =>
  either(
    () => Prisma.raw(`INDEXED BY "${index}"`),
    () => Prisma.empty,
  )

/** A column by whose index SQLite is not to go; PostgreSQL finds its way by itself. */
export const withoutIndex = (column: Prisma.Sql): Prisma.Sql =>
  either(
    () => Prisma.sql`+${column}`,
    () => column,
  )

/** Whether a column is like a pattern, in which a backslash takes % and _ for themselves; small and capital letters are alike. */
export const isLike = (column: Prisma.Sql, pattern: string): Prisma.Sql =>
  either(
    () => Prisma.sql`${column} LIKE ${pattern} ESCAPE '\\'`,
    () => Prisma.sql`${column} ILIKE ${pattern} ESCAPE '\\'`,
  )

/** What a JSON array holds, as rows of a column "value" to be reached into by `->>`. */
export const eachOf = (json: Prisma.Sql | string): Prisma.Sql =>
  either(
    () => Prisma.sql`json_each(${json})`,
    () => Prisma.sql`json_array_elements(CAST(${json} AS JSON))`,
  )

/** A list of texts as rows of a column "value": one parameter, however many they are. */
export const eachText = (texts: readonly string[]): Prisma.Sql => {
  const json = JSON.stringify(texts)
  return either(
    () => Prisma.sql`json_each(${json})`,
    () => Prisma.sql`json_array_elements_text(CAST(${json} AS JSON))`,
  )
}

/** Seconds from one instant to another, with their fractions. */
export const secondsFrom = (from: Prisma.Sql, to: Prisma.Sql): Prisma.Sql =>
  either(
    () => Prisma.sql`((JULIANDAY(${to}) - JULIANDAY(${from})) * 86400.0)`,
    () => Prisma.sql`CAST(EXTRACT(EPOCH FROM ${to} - ${from}) AS DOUBLE PRECISION)`,
  )

/** A condition of the client: the text holds these letters, small and capital ones alike. */
export const containing = (text: string): { contains: string } =>
  onPostgres() ? ({ contains: text, mode: 'insensitive' } as { contains: string }) : { contains: text }

/** A text out of JSON as an instant, to be written into a column of instants. */
export const instantIn = (text: Prisma.Sql): Prisma.Sql =>
  either(
    () => text,
    () => Prisma.sql`CAST(${text} AS TIMESTAMP(3))`,
  )
