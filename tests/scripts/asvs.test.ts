import { existsSync, readFileSync } from 'node:fs'
import { expect, test } from 'vitest'

/**
 * What OWASP ASVS 4.0.3 asks for at level 2, by section. Source: the standard's own list, `4.0/docs_en/OWASP Application Security Verification
 * Standard 4.0.3-en.csv` of github.com/OWASP/ASVS, read on 2026-11-30: rows that are marked for level 2 in any way ("✓", "o", "OS assisted",
 * "12 hours …"), without those that are deleted. A number alone: so many from 1 on.
 */
const LEVEL_2: Record<string, number | number[]> = {
  '1.1': 7,
  '1.2': 4,
  '1.4': [1, 4, 5],
  '1.5': 4,
  '1.6': 4,
  '1.7': 2,
  '1.8': 2,
  '1.9': 2,
  '1.10': 1,
  '1.11': 2,
  '1.12': [2],
  '1.14': 6,
  '2.1': 12,
  '2.2': 3,
  '2.3': 3,
  '2.4': 5,
  '2.5': 7,
  '2.6': 3,
  '2.7': 6,
  '2.8': 7,
  '2.9': 3,
  '2.10': 4,
  '3.1': 1,
  '3.2': 4,
  '3.3': 4,
  '3.4': 5,
  '3.5': 3,
  '3.7': 1,
  '4.1': [1, 2, 3, 5],
  '4.2': 2,
  '4.3': 3,
  '5.1': 5,
  '5.2': 8,
  '5.3': 10,
  '5.4': 3,
  '5.5': 4,
  '6.1': 3,
  '6.2': 6,
  '6.3': 2,
  '6.4': 2,
  '7.1': 4,
  '7.2': 2,
  '7.3': [1, 3, 4],
  '7.4': 3,
  '8.1': 4,
  '8.2': 3,
  '8.3': 8,
  '9.1': 3,
  '9.2': 4,
  '10.2': 2,
  '10.3': 3,
  '11.1': 8,
  '12.1': 3,
  '12.2': 1,
  '12.3': 6,
  '12.4': 2,
  '12.5': 2,
  '12.6': 1,
  '13.1': [1, 3, 4, 5],
  '13.2': [1, 2, 3, 5, 6],
  '13.3': 2,
  '13.4': 2,
  '14.1': 4,
  '14.2': 6,
  '14.3': [2, 3],
  '14.4': 7,
  '14.5': 4,
}
const asked = Object.entries(LEVEL_2).flatMap(([section, those]) =>
  (typeof those === 'number' ? Array.from({ length: those }, (_, i) => i + 1) : those).map(
    n => `${section}.${n}`,
  ),
)

type Row = { numbers: string[]; state: string; words: string }

/** "2.7.1–2.7.3, 2.8.1" as each of its numbers. */
const eachOf = (cell: string): string[] =>
  cell.split(', ').flatMap(one => {
    const [from = '', to = from] = one.split('–')
    const section = from.replace(/\.\d+$/, '')
    const last = (number: string) => Number(number.split('.').at(-1))
    if (!to.startsWith(`${section}.`)) return [one]
    return Array.from({ length: last(to) - last(from) + 1 }, (_, i) => `${section}.${last(from) + i}`)
  })

const rowsOf = (paper: string): Row[] =>
  paper
    .split('\n')
    .filter(line => /^\| \d/.test(line))
    .map(line => {
      const [, numbers = '', , state = '', words = ''] = line.split('|').map(cell => cell.trim())
      return { numbers: eachOf(numbers), state, words }
    })

/** What is wrong with a row. */
function faultsOf({ state, words }: Row): string[] {
  const faults: string[] = []
  const files = [
    ...words.matchAll(
      /`((?:\.ci|app|lib|tests|e2e|prisma|scripts|deploy|docs)\/[^`]+|[\w.-]+\.(?:md|ts|mjs|json))`/g,
    ),
  ]
  for (const [, file = ''] of files) if (!existsSync(file)) faults.push(`${file} is not there`)
  // A test's file is followed by the titles that stand in it.
  for (const [, file = '', titles = ''] of words.matchAll(
    /`((?:tests|e2e)\/[^`]+)`((?: “[^”]+”(?:,(?= “))?)*)/g,
  )) {
    const named = [...titles.matchAll(/“([^”]+)”/g)].map(([, title = '']) => title)
    if (!named.length) faults.push(`${file} without the title of a test`)
    const text = existsSync(file) ? readFileSync(file, 'utf8') : ''
    for (const title of named)
      if (!new RegExp(`['"\`]${title.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')}['"\`]`).test(text))
        faults.push(`${file} has no test “${title}”`)
  }
  if (!['met', 'not applicable', 'open'].includes(state)) faults.push(`a state that is none: ${state}`)
  if (state === 'met' && !files.length) faults.push('nothing shows it')
  if (state !== 'met' && words.replace(/`[^`]*`|“[^”]*”/g, '').trim().length < 10) faults.push('no reason')
  return faults
}

const rows = rowsOf(readFileSync('docs/asvs.md', 'utf8'))

test('the table has each requirement of level 2 once, and no other', () => {
  expect(rows.flatMap(row => row.numbers).sort()).toEqual([...asked].sort())
})

test('each row is met, by tests and code that are there, or not applicable or open, with a reason', () => {
  expect(rows.flatMap(row => faultsOf(row).map(fault => `${row.numbers.join(', ')}: ${fault}`))).toEqual([])
})

test.each([
  ['met', 'as everybody knows', 'nothing shows it'],
  ['met', '`lib/server/no-such-file.ts`', 'is not there'],
  ['met', '`tests/scripts/asvs.test.ts`', 'without the title'],
  ['met', '`tests/scripts/asvs.test.ts` “a title that no test has, of course”', 'is not there|has no test'],
  ['open', '`lib/server/auth.ts`', 'no reason'],
  ['met in part', '`lib/server/auth.ts`', 'a state that is none'],
])('a row that is %s by %s is found', (state, words, fault) => {
  expect(faultsOf({ numbers: [], state, words }).join()).toMatch(new RegExp(fault))
})
