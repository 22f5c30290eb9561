// Values near right and far from it, and ways to spoil a right one: for everything that takes something from outside.
import fc from 'fast-check'
import * as z from 'zod'

/** Text that has broken some program: numbers at the edge, other alphabets, names of every object, days that are none, commands. */
const KNOWN = [
  ...[
    '',
    ' ',
    '0',
    '-0',
    '-1',
    '1.5',
    '1,5',
    '1.2.3',
    '1e309',
    '1e-400',
    'NaN',
    'Infinity',
    '0x10',
    '٣',
    '９９',
    '½',
  ],
  ...['9007199254740993', '99999999999999999999', '-2147483649', '4294967296', '0.000000000000000000001'],
  ...['null', 'undefined', 'true', 'false', '[]', '{}', '[object Object]', '{"a":1}'],
  ...['__proto__', 'constructor', 'prototype', 'toString', 'hasOwnProperty', 'then'],
  ...[
    "' OR 1=1 --",
    '"; DROP TABLE "Order"; --',
    '<script>alert(1)</script>',
    '=HYPERLINK("x")',
    '@SUM(1)',
    '{{7*7}}',
    // biome-ignore lint/suspicious/noTemplateCurlyInString: a formula that somebody types, not ours
    '${7*7}',
  ],
  ...[
    '../../etc/passwd',
    '..\\..\\secret',
    '/dev/zero',
    'C:\\con',
    'file:///etc/passwd',
    '%00',
    '%2e%2e%2f',
    '%',
    '%E0%A4%A',
  ],
  ...[
    '\0',
    'a\0b',
    '\u202Eabc',
    '\uFEFF',
    '\u200B',
    '\uD800',
    '\uDFFF',
    '𝕏',
    'ﷺ',
    'é'.normalize('NFD'),
    '👨‍👩‍👧‍👦',
    '\r\nX-Y: z',
  ],
  ...[
    '2026-02-30',
    '2026-02-29',
    '2026-13-01',
    '9999-12-31',
    '0000-01-01',
    '275760-09-13',
    '25:61',
    '24:00',
    '2026-03-29T01:30',
  ],
  ...[
    '$K1',
    '$@0',
    '$undefined',
    '$NaN',
    '$D2026',
    '$n9',
    '$Q1',
    '$F1',
    '#abcdef',
    '#ggg',
    '018f0000-0000-7000-8000-000000000000',
  ],
]

/** Long enough to hurt whoever copies it once too often. */
const HUGE = [
  'x'.repeat(20_000),
  '9'.repeat(5_000),
  '\n'.repeat(5_000),
  '😀'.repeat(3_000),
  `${'a.'.repeat(3_000)}b`,
  '['.repeat(4_000),
]

/** Any text that somebody may send. */
export const anyText: fc.Arbitrary<string> = fc.oneof(
  { weight: 6, arbitrary: fc.constantFrom(...KNOWN) },
  { weight: 1, arbitrary: fc.constantFrom(...HUGE) },
  { weight: 3, arbitrary: fc.string({ unit: 'binary', maxLength: 40 }) },
  { weight: 2, arbitrary: fc.string({ unit: 'grapheme', maxLength: 40 }) },
  { weight: 2, arbitrary: fc.oneof(fc.integer(), fc.double()).map(String) },
)

/** Something within something, many times over. */
const deep: fc.Arbitrary<unknown> = fc
  .tuple(fc.integer({ min: 50, max: 3_000 }), fc.boolean())
  .map(([times, list]) => {
    let made: unknown = 1
    for (let i = 0; i < times; i++) made = list ? [made] : { a: made }
    return made
  })

/** Keys that every object has already. */
const strangeKeys = fc.constantFrom(
  JSON.parse('{"__proto__":{"ok":true},"constructor":{"prototype":{"ok":true}}}') as unknown,
  JSON.parse('{"then":1,"toString":2,"length":-1}') as unknown,
)

/** Any value that JSON can carry. */
export const anyValue: fc.Arbitrary<unknown> = fc.oneof(
  { weight: 6, arbitrary: anyText },
  { weight: 3, arbitrary: fc.jsonValue() as fc.Arbitrary<unknown> },
  {
    weight: 2,
    arbitrary: fc.oneof(fc.integer(), fc.double(), fc.constantFrom(null, true, false, -0, 1e308, 2 ** 53)),
  },
  { weight: 1, arbitrary: deep },
  { weight: 1, arbitrary: strangeKeys },
)

/** Spoils one part of a value, or leaves it: somewhere within, something is another, gone, twice there, or new. */
export function spoiled(value: unknown): fc.Arbitrary<unknown> {
  const here = fc.oneof({ weight: 1, arbitrary: fc.constant(value) }, { weight: 2, arbitrary: anyValue })
  if (Array.isArray(value)) {
    const some = value.length
      ? fc
          .nat(value.length - 1)
          .chain(i => spoiled(value[i]).map(v => value.map((one, k) => (k === i ? v : one))))
      : fc.constant<unknown[]>([])
    return fc.oneof(
      { weight: 4, arbitrary: some },
      { weight: 1, arbitrary: fc.constant([...value, ...value]) },
      { weight: 1, arbitrary: here },
    )
  }
  if (value !== null && typeof value === 'object') {
    const names = Object.keys(value)
    const fields = value as Record<string, unknown>
    const some = names.length
      ? fc.constantFrom(...names).chain(name => spoiled(fields[name]).map(v => ({ ...fields, [name]: v })))
      : fc.constant<Record<string, unknown>>({})
    const without = names.length
      ? fc
          .constantFrom(...names)
          .map(name => Object.fromEntries(Object.entries(fields).filter(([n]) => n !== name)))
      : fc.constant<Record<string, unknown>>({})
    const more = fc
      .tuple(anyText, anyValue)
      .map(([name, v]) => Object.defineProperty({ ...fields }, name, { value: v, enumerable: true }))
    return fc.oneof(
      { weight: 6, arbitrary: some },
      { weight: 1, arbitrary: without },
      { weight: 1, arbitrary: more },
      { weight: 1, arbitrary: here },
    )
  }
  return here
}

type JsonSchema = {
  type?: string
  enum?: unknown[]
  const?: unknown
  properties?: Record<string, JsonSchema>
  required?: string[]
  additionalProperties?: JsonSchema | boolean
  items?: JsonSchema | boolean
  prefixItems?: JsonSchema[]
  anyOf?: JsonSchema[]
  oneOf?: JsonSchema[]
  allOf?: JsonSchema[]
  pattern?: string
  format?: string
  minimum?: number
  maximum?: number
  exclusiveMinimum?: number
  exclusiveMaximum?: number
}

/** Values of the shape that a schema asks for; what its checks and transforms ask for beyond, they may miss. */
export function likeSchema(schema: z.ZodType): fc.Arbitrary<unknown> {
  let shape: JsonSchema
  try {
    shape = z.toJSONSchema(schema, {
      io: 'input',
      unrepresentable: 'any',
      reused: 'inline',
      cycles: 'ref',
    }) as JsonSchema
  } catch {
    // A default that JSON has no word for: field by field, as far as that goes.
    if (!(schema instanceof z.ZodObject)) return anyValue
    return fc.record(
      Object.fromEntries(
        Object.entries(schema.shape).map(([name, one]) => [name, likeSchema(one as z.ZodType)]),
      ),
      { requiredKeys: [] },
    )
  }
  return like(shape)
}

function like(s: JsonSchema): fc.Arbitrary<unknown> {
  if ('const' in s) return fc.constant(s.const)
  if (s.enum?.length) return fc.constantFrom(...s.enum)
  const several = s.anyOf ?? s.oneOf
  if (several?.length) return fc.oneof(...several.map(like))
  if (s.allOf?.length)
    return fc
      .tuple(...s.allOf.map(like))
      .map(parts => Object.assign({}, ...parts.filter(p => typeof p === 'object')))
  switch (s.type) {
    case 'object': {
      const fixed = fc.record(
        Object.fromEntries(Object.entries(s.properties ?? {}).map(([name, one]) => [name, like(one)])),
        { requiredKeys: s.required ?? [] },
      )
      if (typeof s.additionalProperties !== 'object') return fixed
      const others = fc.dictionary(
        fc.oneof(fc.string({ maxLength: 12 }), anyText),
        like(s.additionalProperties),
        { maxKeys: 4 },
      )
      return fc.tuple(fixed, others).map(([a, b]) => ({ ...b, ...a }))
    }
    case 'array':
      if (s.prefixItems) return fc.tuple(...s.prefixItems.map(like)).map(list => list as unknown)
      return fc.array(typeof s.items === 'object' ? like(s.items) : anyValue, { maxLength: 4 })
    case 'string':
      if (s.format === 'uuid') return fc.oneof(fc.uuid(), anyText)
      if (s.pattern && s.pattern.length < 200)
        try {
          return fc.oneof(fc.stringMatching(new RegExp(s.pattern)), anyText)
        } catch {
          return anyText
        }
      return anyText
    case 'integer': {
      const [min, max] = [s.minimum ?? s.exclusiveMinimum ?? -1e9, s.maximum ?? s.exclusiveMaximum ?? 1e9]
      return fc.oneof(
        fc.integer({ min: Math.max(min, -(2 ** 31)), max: Math.min(max, 2 ** 31 - 1) }),
        fc.constantFrom(min, max, min - 1, max + 1),
      )
    }
    case 'number':
      return fc.oneof(fc.double({ min: s.minimum ?? -1e9, max: s.maximum ?? 1e9, noNaN: true }), fc.double())
    case 'boolean':
      return fc.boolean()
    case 'null':
      return fc.constant(null)
    default:
      return anyValue
  }
}
