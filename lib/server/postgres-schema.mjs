// Plain JavaScript: it is needed before anything can run TypeScript (scripts/support/fresh.mjs).

/**
 * The data model for PostgreSQL, from the one that is written in prisma/schema. JSON is kept as its text, since what was agreed and
 * invoiced stays as it was written down; PostgreSQL's other kind of JSON puts keys in an order of its own.
 * @param {string} content of a schema's file
 * @param {string} [output] folder of the client that is made from it
 */
export function postgresSchema(content, output) {
  return content
    .replace('provider = "sqlite"', 'provider = "postgresql"')
    .replace(/output( *)= ".*"/, (line, gap) => (output ? `output${gap}= ${JSON.stringify(output)}` : line))
    .replace(/^( {2}\w+ +Json\b\??)/gm, '$1 @db.Json')
}
