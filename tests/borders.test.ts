import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import type * as z from 'zod'
import { readForm } from '@/app/forms'
import { anyText, anyValue, likeSchema, spoiled } from '../scripts/support/fuzz-values'

/** Cases altogether; the long run (npm run fuzz) asks for more. */
const CASES = Number(process.env.FUZZ_CASES ?? 2_000)
const SEED = Number(process.env.FUZZ_SEED ?? 1)

const isSchema = (value: unknown): value is z.ZodType =>
  typeof value === 'object' && value !== null && '_zod' in value && 'safeParse' in value

// Every module of the trade and of the rooms that names a schema to others; what draws or runs by itself is left out.
const modules = import.meta.glob<Record<string, unknown>>([
  '../lib/**/*.ts',
  '../app/**/*.ts',
  '!../lib/server/client*/**',
  '!../**/*.worker.ts',
  '!../app/**/actions.ts',
  '!../app/**/route.ts',
])
const texts = import.meta.glob<string>(['../lib/**/*.ts', '../app/**/*.ts', '!../lib/server/client*/**'], {
  query: '?raw',
  import: 'default',
  eager: true,
})

const borders: [string, z.ZodType][] = []
for (const [file, load] of Object.entries(modules)) {
  if (!/export const \w+(: [^=]+)? = z\b|export const \w+ = \w*[sS]chema\b/.test(texts[file] ?? '')) continue
  for (const [name, value] of Object.entries(await load()))
    if (isSchema(value)) borders.push([`${name} of ${file.slice(3)}`, value])
}

const each = Math.max(20, Math.ceil(CASES / borders.length))

describe('every border', () => {
  test('is found', () => {
    expect(borders.length).toBeGreaterThan(20)
  })

  test.each(borders)('%s answers anything by a value or a refusal, and never fails', (_, schema) => {
    const near = likeSchema(schema).chain(spoiled)
    fc.assert(
      fc.property(fc.oneof({ weight: 3, arbitrary: near }, { weight: 1, arbitrary: anyValue }), value => {
        const before = JSON.stringify(value)?.slice(0, 5_000)
        const read = schema.safeParse(value)
        expect(typeof read.success).toBe('boolean')
        // Reading changes nothing of what it was given, nor of what all objects share.
        expect(JSON.stringify(value)?.slice(0, 5_000)).toBe(before)
        expect(({} as Record<string, unknown>).ok).toBeUndefined()
      }),
      { numRuns: each, seed: SEED },
    )
  })

  test.each(borders)('%s read from a form answers in sentences', (_, schema) => {
    fc.assert(
      fc.property(fc.dictionary(anyText, anyText, { maxKeys: 6 }), fields => {
        const form = new FormData()
        for (const [name, value] of Object.entries(fields)) form.append(name, value)
        const read = readForm(schema, form)
        if (read.ok) return
        expect(read.answer.message).not.toBe('')
        for (const said of [
          read.answer.message,
          ...Object.values(read.answer.ok ? {} : (read.answer.errors ?? {})),
        ])
          expect(said?.length).toBeLessThanOrEqual(400)
      }),
      { numRuns: Math.ceil(each / 4), seed: SEED },
    )
  })
})
