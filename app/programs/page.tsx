import type { Metadata } from 'next'
import { redirect } from 'next/navigation'
import { DataTable } from '@/app/parts/data-table'
import { Section } from '@/app/parts/section'
import { EXAMPLE_ORDER, openApi } from '@/lib/orders/outside/openapi'
import { hasDatabase } from '@/lib/server/health'
import { shop } from '@/lib/shop/store'
import styles from './programs.module.css'
import { schemaRows } from './schema-rows'

export const metadata: Metadata = { title: 'For programs' }
export const dynamic = 'force-dynamic'

type Operation = {
  summary: string
  description: string
  responses: Record<string, { description: string; content?: Record<string, { schema: object }> }>
  requestBody?: { content: Record<string, { schema: object }> }
}

/** What programs may ask of the shop, drawn from the very document that they read. */
export default async function ForPrograms() {
  if (!hasDatabase()) redirect('/welcome')
  const document = openApi((await shop()).name)
  const parts = document.components.schemas as Record<string, object>
  const operations = Object.entries(document.paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => ({
      path,
      method: method.toUpperCase(),
      operation: operation as Operation,
    })),
  )
  return (
    <main className={styles.page}>
      <h1>{document.info.title}</h1>
      <div>
        <p>{document.info.description}</p>
        <p>
          Every call shows the key that the shop gave you: <code>Authorization: Bearer KEY</code>. Refusals
          come as <code>application/problem+json</code> (RFC 9457), each with a sentence that says what to do.
          The same in the form that tools read, OpenAPI 3.1: <a href="/api/openapi.json">openapi.json</a>.
        </p>
      </div>
      <Section title="An order, sent">
        <pre>
          <code>{`POST /api/orders
Authorization: Bearer KEY
Content-Type: application/json
Idempotency-Key: 0b5c4a3e-6f0e-4f6e-9a67-5d7f0f0c9a11

${JSON.stringify(EXAMPLE_ORDER, null, 2)}

201 Created
Location: /api/orders/1042

{ "number": 1042, "state": "enquiry" }`}</code>
        </pre>
      </Section>
      {operations.map(({ path, method, operation }) => (
        <Section key={`${method} ${path}`} title={operation.summary}>
          <p>
            <code>
              {method} {path}
            </code>
          </p>
          <p>{operation.description}</p>
          {method === 'POST' && (
            <p>Idempotency-Key: {document.paths['/api/orders'].post.parameters[0]?.description}</p>
          )}
          {operation.requestBody && (
            <Values
              caption="What is sent"
              schema={operation.requestBody.content['application/json']?.schema ?? {}}
              parts={parts}
              sent
            />
          )}
          <h3>What is answered</h3>
          <ul className={styles.answers}>
            {Object.entries(operation.responses).map(([status, answer]) => (
              <li key={status}>
                <b>{status}</b> {answer.description}
              </li>
            ))}
          </ul>
          {Object.entries(operation.responses)
            .filter(([status]) => status.startsWith('2'))
            .map(([status, answer]) => (
              <Values
                key={status}
                caption={`With ${status}: ${operation.summary.charAt(0).toLowerCase()}${operation.summary.slice(1)}`}
                schema={answer.content?.['application/json']?.schema ?? {}}
                parts={parts}
              />
            ))}
        </Section>
      ))}
    </main>
  )
}

function Values({
  caption,
  schema,
  parts,
  sent,
}: {
  caption: string
  schema: object
  parts: Record<string, object>
  sent?: true
}) {
  return (
    <DataTable
      caption={caption}
      rows={schemaRows(schema, parts)}
      rowKey={r => r.name}
      columns={[
        { key: 'name', head: 'Name', rowHead: true, wrap: true, cell: r => <code>{r.name}</code> },
        { key: 'what', head: 'What it is', wrap: true, cell: r => r.what },
        ...(sent
          ? [{ key: 'needed', head: 'Needed', cell: (r: { needed: boolean }) => (r.needed ? 'yes' : '–') }]
          : []),
        { key: 'about', head: 'About it', wrap: true, cell: r => r.about },
      ]}
    />
  )
}
