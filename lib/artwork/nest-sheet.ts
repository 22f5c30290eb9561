import { dirname, resolve } from 'node:path'
import * as z from 'zod'
import { ok, type Result, refuse } from '@/lib/units/result'
import { bytesOf } from './files'
import type { NestTask } from './production'

const mm = z.number().positive().max(100_000)
const SHEET = z.strictObject({
  /** Without heightMm it is a roll. */
  sheet: z.strictObject({
    widthMm: mm,
    heightMm: mm.optional(),
    gapMm: z.number().min(0).max(100).default(5),
    marginMm: z.number().min(0).max(100).default(5),
  }),
  pieces: z
    .array(
      z.strictObject({
        file: z.string().min(1),
        id: z.string().min(1).optional(),
        order: z.string().default(''),
        widthMm: mm,
        heightMm: mm.optional(),
        count: z.int().min(0).max(5000).default(1),
        turn: z.boolean().default(true),
      }),
    )
    .min(1),
  tries: z.int().min(0).max(100_000).optional(),
  seed: z.int().optional(),
})

const MOST_BYTES = 5_000_000

/** Reads a sheet file; the paths in it are taken from its own folder. */
export async function readNestSheet(path: string): Promise<Result<Omit<NestTask, 'to'>>> {
  const bytes = await bytesOf(path, MOST_BYTES)
  return bytes.ok ? parseNestSheet(bytes.value.toString('utf8'), dirname(path)) : bytes
}

function parseNestSheet(text: string, folder: string): Result<Omit<NestTask, 'to'>> {
  let json: unknown
  try {
    json = JSON.parse(text)
  } catch {
    return refuse('not-json', 'The sheet file is not JSON: check its brackets and commas.')
  }
  const parsed = SHEET.safeParse(json)
  if (!parsed.success) {
    const issue = parsed.error.issues[0]!
    return refuse('bad-sheet', `The sheet file is not right at “${issue.path.join('.')}”: ${issue.message}.`)
  }
  const { sheet, pieces, tries, seed } = parsed.data
  return ok({
    kind: 'nest',
    sheet: { width: sheet.widthMm, height: sheet.heightMm ?? null, gap: sheet.gapMm, margin: sheet.marginMm },
    pieces: pieces.map((p, i) => ({
      id: p.id ?? `${i + 1}`,
      order: p.order,
      width: p.widthMm,
      ...(p.heightMm === undefined ? {} : { height: p.heightMm }),
      count: p.count,
      turn: p.turn,
      file: resolve(folder, p.file),
    })),
    ...(tries === undefined ? {} : { tries }),
    ...(seed === undefined ? {} : { seed }),
  })
}
