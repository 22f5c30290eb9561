import { describe, expect, test } from 'vitest'
import { isActionCall, isArguments } from '@/lib/server/action-call'

const nested = (times: number) => `${'['.repeat(times)}${']'.repeat(times)}`

describe('a call that a page sends', () => {
  test.each([
    [
      'a form behind what is bound',
      [
        ['_1_name', '$ anything $1'],
        ['0', '["a7",null,"$K1"]'],
      ],
    ],
    [
      'an answer before, with what is not there',
      [['0', '[{"ok":false,"message":"No.","field":"$undefined"},"$K1"]']],
    ],
    ['a text that begins with the mark', [['0', '["$$100"]']]],
    [
      'parts that refer to one another',
      [
        ['1', '{"a":1}'],
        ['0', '["$1","$Q1"]'],
      ],
    ],
    [
      'a form without scripts',
      [
        ['$ACTION_REF_1', ''],
        ['$ACTION_1:0', '{"id":"60","bound":"$@1"}'],
        ['$ACTION_1:1', '["x",null]'],
        ['name', '{'],
      ],
    ],
    [
      'a plain form',
      [
        ['name', 'x'],
        ['lines.0.width', '$Q9'],
      ],
    ],
  ] as [string, [string, string][]][])('is one: %s', (_, parts) => {
    expect(isActionCall(parts)).toBe(true)
  })
})

describe('a call that somebody made up', () => {
  test.each([
    ['no JSON', [['0', '[']]],
    ['too deep', [['0', nested(2_000)]]],
    ['a part that is not there', [['0', '["$1"]']]],
    ['a promise of a part that is not there', [['0', '["$@5"]']]],
    ['a mark that the framework does not have', [['0', '["$?x"]']]],
    ['a day that is none', [['0', '["$Dnever"]']]],
    ['a key of every object', [['0', '[{"__proto__":{"ok":true}}]']]],
    ['a file in place of the arguments', [['0', new Blob(['[]'])]]],
    [
      'a bound part that cannot be read',
      [
        ['$ACTION_REF_1', ''],
        ['$ACTION_1:0', '{'],
      ],
    ],
  ] as [string, [string, unknown][]][])('is none: %s', (_, parts) => {
    expect(isActionCall(parts)).toBe(false)
  })

  test('as plain text, too', () => {
    expect(isArguments('["x",1,null]')).toBe(true)
    expect(isArguments('x')).toBe(false)
    expect(isArguments('["$K1"]')).toBe(true)
    expect(isArguments('["$F1"]')).toBe(false)
  })
})
