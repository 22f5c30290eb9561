import 'server-only'
import { appendFileSync, readFileSync, renameSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { z } from 'zod'
import { dataFolder } from './data-folder'

/** A fault as the owner's page shows it. It holds no word that somebody typed. */
const faultSchema = z.object({
  at: z.iso.datetime(),
  /** What stands on the page of whoever met it. */
  code: z.string().nullable(),
  /** What the server was at: an address without secrets, or a task. */
  doing: z.string(),
  text: z.string(),
})
export type Fault = z.output<typeof faultSchema>

/** Beyond this the older half is let go. */
const MOST_BYTES = 64_000

const bookFile = () => join(dataFolder(), 'faults.jsonl')

/** Every fault that is remembered, the latest first. */
export function faults(most: number): Fault[] {
  let text: string
  try {
    text = readFileSync(bookFile(), 'utf8')
  } catch {
    return []
  }
  return text
    .split('\n')
    .flatMap(line => {
      try {
        const read = faultSchema.safeParse(JSON.parse(line))
        return read.success ? [read.data] : []
      } catch {
        // The line that a power cut left half written.
        return []
      }
    })
    .reverse()
    .slice(0, most)
}

/** Remembers a fault beside the database, so that it is there when the database is not, and after a restart. */
export function rememberFault(fault: Omit<Fault, 'at'>, at = new Date()): void {
  try {
    const file = bookFile()
    // On a line of its own, whatever a power cut left of the one before it.
    appendFileSync(file, `\n${JSON.stringify({ at: at.toISOString(), ...fault })}`, { mode: 0o600 })
    if (statSync(file).size <= MOST_BYTES) return
    const lines = readFileSync(file, 'utf8').split('\n').filter(Boolean)
    writeFileSync(`${file}.part`, lines.slice(Math.floor(lines.length / 2)).join('\n'), {
      mode: 0o600,
    })
    renameSync(`${file}.part`, file)
  } catch {
    // The disk is full, or gone: the log has the line.
  }
}
