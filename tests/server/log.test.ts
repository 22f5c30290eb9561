import { expect, test, vi } from 'vitest'
import { z } from 'zod'
import { readForm, strayed } from '@/app/forms'
import { addressWithoutSecrets, faultLine, log, withoutWords } from '@/lib/server/log'

test('a line of the log holds nothing of what people typed or who they are', () => {
  expect(withoutWords('No customer “Ann Reed” with ann@reed.example')).toBe('No customer “…” with …@…')
  expect(
    withoutWords(
      '\nInvalid `db.order.create()` invocation in\n/srv/app.js:12:3\n\nUnique constraint failed: "+351 912345678"',
    ),
  ).toBe('Unique constraint failed: “…”')
  expect(withoutWords('card 4111111111111111 refused')).toBe('card … refused')
  expect(withoutWords('x'.repeat(5000))).toHaveLength(300)
})

test('a fault tells its kind and where it came from, not the words of its text', () => {
  const line = faultLine(Object.assign(new TypeError("cannot read 'Ann Reed'"), { code: 'P2002' }))
  expect(line).toMatchObject({ error: 'TypeError', errorCode: 'P2002', text: 'cannot read “…”' })
  expect((line.at as string[])[0]).toContain('log.test.ts')
  expect(JSON.stringify(line)).not.toContain('Ann')
  expect(faultLine('Ann Reed')).toEqual({ error: 'string' })
})

test('an address is written without what opens an offer or what was searched for', () => {
  expect(addressWithoutSecrets('/offer/9fK2x_secret?paper=A4')).toBe('/offer/…')
  expect(addressWithoutSecrets('/offer/9fK2x_secret/pdf')).toBe('/offer/…/pdf')
  expect(addressWithoutSecrets('/counter/find?q=Ann')).toBe('/counter/find')
})

test('what a schema refuses leaves one line: which fields, not what stood in them, and no name that somebody made up', () => {
  const line = vi.spyOn(log, 'info')
  try {
    const schema = z.strictObject({ name: z.string().min(3), lines: z.record(z.string(), z.int()) })
    const read = readForm(schema, { name: 'Al', lines: { '<b>Ann</b>': 'Reed', a: 1.5 } })
    expect(read.ok).toBe(false)
    strayed()
    expect(line.mock.calls).toEqual([
      [{ from: 'form', fields: ['name', 'lines.a'], count: 3 }, 'refused'],
      [{ from: 'no page', fields: [], count: 0 }, 'refused'],
    ])
    expect(readForm(schema, { name: 'Alma', lines: {} }).ok).toBe(true)
    expect(line).toHaveBeenCalledTimes(2)
  } finally {
    line.mockRestore()
  }
})
