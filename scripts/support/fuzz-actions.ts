// Server actions that no page happens to draw a form for: called as a program would, near what their source asks for.
import { readFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { pathToFileURL } from 'node:url'
import type Database from 'better-sqlite3'
import fc from 'fast-check'
import ts from 'typescript'
import type * as z from 'zod'
import { anyText, anyValue, likeSchema, spoiled } from './fuzz-values'
import type { BuiltAction } from './shop-client'

/** Numbers, names and codes that stand in the shop's tables: what comes near to a right one. */
export function namesOf(db: Database.Database): string[] {
  const tables = db
    .prepare("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
    .pluck()
    .all() as string[]
  const found = new Set<string>()
  for (const table of tables) {
    const columns = (db.pragma(`table_info("${table}")`) as { name: string }[]).map(c => c.name)
    for (const column of columns.filter(c => /^(id|number|sku|code|key|token|name|version|month)$/.test(c)))
      for (const value of db.prepare(`SELECT "${column}" FROM "${table}" LIMIT 6`).pluck().all())
        if (value !== null) found.add(String(value))
  }
  return [...found]
}

type Asked = { parameters: { name: string; type: string }[]; fields: string[]; schemas: z.ZodType[] }

/** What an action's source asks for: its parameters, the fields and the words in its file, the schemas that its file imports. */
async function askedBy({ file, name }: BuiltAction): Promise<Asked> {
  const source = ts.createSourceFile(file, readFileSync(file, 'utf8'), ts.ScriptTarget.Latest, true)
  const fields = new Set<string>()
  const imports: { from: string; names: string[] }[] = []
  let parameters: Asked['parameters'] = []
  const visit = (node: ts.Node): void => {
    if (ts.isImportDeclaration(node) && ts.isStringLiteral(node.moduleSpecifier)) {
      const bindings = node.importClause?.namedBindings
      if (bindings && ts.isNamedImports(bindings))
        imports.push({
          from: node.moduleSpecifier.text,
          names: bindings.elements.map(e => (e.propertyName ?? e.name).text).filter(n => /schema$/i.test(n)),
        })
    }
    if (ts.isPropertyAssignment(node) && ts.isIdentifier(node.name)) fields.add(node.name.text)
    const own =
      ts.isFunctionDeclaration(node) && node.name?.text === name
        ? node
        : ts.isVariableDeclaration(node) &&
            node.name.getText(source) === name &&
            node.initializer &&
            ts.isArrowFunction(node.initializer)
          ? node.initializer
          : undefined
    if (own)
      parameters = own.parameters.map(p => ({
        name: p.name.getText(source),
        type: p.type?.getText(source) ?? 'unknown',
      }))
    ts.forEachChild(node, visit)
  }
  visit(source)
  const schemas: z.ZodType[] = []
  for (const { from, names } of imports.filter(i => i.names.length)) {
    const path = from.startsWith('@/') ? from.slice(2) : resolve(file, '..', from)
    try {
      const loaded = (await import(pathToFileURL(resolve(`${path}.ts`)).href)) as Record<string, z.ZodType>
      for (const one of names) if (loaded[one]) schemas.push(loaded[one])
    } catch {
      // A module that only the server can load: its fields' names are not known here, the action is called all the same.
    }
  }
  return { parameters, fields: [...fields], schemas }
}

/** Nested values as a form sends them: "lines.0.width". What lies deeper than any form of ours is sent as one text. */
function flat(value: unknown, path: string[] = []): [string, string][] {
  if (typeof value !== 'object' || value === null) return [[path.join('.') || 'value', String(value ?? '')]]
  if (path.length > 8) return [[path.join('.'), JSON.stringify(value)]]
  return Object.entries(value).flatMap(([name, one]) => flat(one, [...path, name]))
}

export type ActionCall = { action: BuiltAction; page: string; body: FormData }

/**
 * Calls of one action, by the framework's own way of writing arguments.
 * @param page a page that carries it
 * @param names what stands in the shop's tables
 */
export async function callsOf(
  action: BuiltAction,
  page: string,
  names: string[],
): Promise<fc.Arbitrary<ActionCall>> {
  const { parameters, fields, schemas } = await askedBy(action)
  const near = fc.oneof(
    { weight: 3, arbitrary: fc.constantFrom(...names) },
    {
      weight: 1,
      arbitrary: fc.constantFrom('0', '1', '2', 'yes', 'no', '2026-11', '2026-11-30', 'XL', '12.50'),
    },
    { weight: 1, arbitrary: anyText },
  )
  const whole = schemas.length ? fc.oneof(...schemas.map(likeSchema)) : anyValue
  const typed = fc.oneof(
    ...(fields.length
      ? [fc.dictionary(fc.constantFrom(...fields), near, { maxKeys: Math.min(12, fields.length) })]
      : []),
    ...(schemas.length ? [whole.chain(spoiled)] : []),
    fc.dictionary(anyText, near, { maxKeys: 4 }),
  )
  const of = (type: string): fc.Arbitrary<unknown> => {
    if (type === 'string') return near
    if (type === 'number')
      return fc.oneof(fc.constantFrom(...names.filter(n => /^\d{1,9}$/.test(n)).map(Number)), anyValue)
    if (type === 'boolean') return fc.oneof(fc.boolean(), anyValue)
    return fc.oneof(
      { weight: 3, arbitrary: whole.chain(spoiled) },
      { weight: 1, arbitrary: near },
      { weight: 1, arbitrary: anyValue },
    )
  }
  return fc
    .tuple(
      fc.tuple(
        ...parameters.map(({ name, type }) =>
          name.startsWith('_') && type !== 'FormData'
            ? fc.constant(null)
            : type === 'FormData'
              ? fc.constant('$K1')
              : of(type),
        ),
      ),
      typed,
    )
    .map(([values, form]) => {
      const body = new FormData()
      const isForm = parameters.map(p => p.type === 'FormData')
      if (isForm.includes(true)) for (const [name, value] of flat(form)) body.append(`_1_${name}`, value)
      const written = values.map((value, i) =>
        // The framework's own marks begin with a dollar sign, doubled where it is meant as such.
        isForm[i] ? '"$K1"' : (JSON.stringify(value) ?? 'null').replace(/"\$/g, '"$$$$'),
      )
      body.append('0', `[${written.join(',')}]`)
      return { action, page, body }
    })
}
