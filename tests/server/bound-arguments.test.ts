import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import ts from 'typescript'
import { expect, test } from 'vitest'
import { isBoundNumber, isBoundText } from '@/app/forms'

type Made = ts.FunctionDeclaration & { body: ts.Block }

const files = readdirSync('app', { recursive: true, encoding: 'utf8' })
  .filter(name => name.endsWith('actions.ts'))
  .map(name => join('app', name))

/** The functions of a file by name. */
function functionsOf(file: string): Map<string, Made> {
  const source = ts.createSourceFile(file, readFileSync(file, 'utf8'), ts.ScriptTarget.Latest, true)
  return new Map(
    source.statements
      .filter((s): s is Made => ts.isFunctionDeclaration(s) && s.name !== undefined && s.body !== undefined)
      .map(f => [f.name?.text ?? '', f]),
  )
}

const READERS =
  /^(isBoundNumber|isBoundText|readForm|readImport|fieldsOf|allOf|\w+(\.\w+\(.*\))*\.(parse|safeParse))$/

/** Whether a function looks at what an argument is, by a reader or by handing it to a function of the same file that does. */
function looksAt(made: Made, name: string, all: Map<string, Made>): boolean {
  let looks = false
  const visit = (node: ts.Node): void => {
    if (
      ts.isBinaryExpression(node) &&
      /^===/.test(node.operatorToken.getText()) &&
      node.left.getText() === name
    )
      looks ||= node.right.kind === ts.SyntaxKind.TrueKeyword
    if (ts.isCallExpression(node)) {
      const place = node.arguments.findIndex(a => a.getText() === name)
      const called = node.expression.getText()
      const own = all.get(called)
      const passed = own?.parameters[place]?.name.getText()
      if (place >= 0 && (READERS.test(called) || (own && passed && looksAt(own, passed, all)))) looks = true
    }
    ts.forEachChild(node, visit)
  }
  visit(made.body)
  return looks
}

test('every argument of an action is looked at, bound by a page or a form: a call of an action is anybody’s to make up', () => {
  const blind: string[] = []
  let looked = 0
  for (const file of files) {
    const all = functionsOf(file)
    for (const [action, made] of all) {
      if (!made.modifiers?.some(m => m.kind === ts.SyntaxKind.ExportKeyword)) continue
      for (const { name } of made.parameters) {
        const text = name.getText()
        if (text.startsWith('_')) continue
        looked++
        if (!looksAt(made, text, all)) blind.push(`${file} ${action}: ${text}`)
      }
    }
  }
  expect(blind).toEqual([])
  expect(looked).toBeGreaterThan(100)
})

test.each([0, 1042, 2 ** 31 - 1])('%j is a number that a page binds', n =>
  expect(isBoundNumber(n)).toBe(true),
)
test.each([-1, 0.5, 2 ** 31, '1', null, undefined, {}, []])('%j is none', n =>
  expect(isBoundNumber(n)).toBe(false),
)
test.each(['', 'TEE-BLK-M', 'x'.repeat(300)])('%j is a text that a page binds', t =>
  expect(isBoundText(t)).toBe(true),
)
test.each([null, undefined, 5, {}, ['a'], 'x'.repeat(301)])('%j is none', t =>
  expect(isBoundText(t)).toBe(false),
)
