/**
 * npm run passes: compiles lib/artwork/passes/passes.as.ts to made.ts beside it, which goes into the repository, so that a shop needs
 * no compiler. tests/artwork/passes.test.ts tells when the source is newer.
 */
import { createHash } from 'node:crypto'
import { readFileSync, writeFileSync } from 'node:fs'
import asc from 'assemblyscript/asc'

const SOURCE = 'lib/artwork/passes/passes.as.ts'
const MADE = 'lib/artwork/passes/made.ts'
/** Characters of the module in a line. */
const LINE = 100

const source = readFileSync(SOURCE, 'utf8')
let compiled: Uint8Array = new Uint8Array()
const { error, stderr } = await asc.main(
  [
    ...[SOURCE, '--outFile', 'passes.wasm', '--enable', 'simd', '-O3', '--noAssert'],
    // No memory management and no messages: numbers alone go in and out.
    ...['--runtime', 'stub', '--use', 'abort='],
  ],
  {
    readFile: (name: string) => (name === SOURCE ? source : null),
    writeFile: (_name: string, contents: Uint8Array | string) => {
      compiled = new Uint8Array(Buffer.from(contents as Uint8Array))
    },
  },
)
if (error) throw new Error(`${error.message}\n${stderr}`)
const base64 = Buffer.from(compiled).toString('base64')
const lines = [
  '// Made from passes.as.ts by `npm run passes`.',
  '/** SHA-256 of the source. */',
  `export const MADE_FROM = '${createHash('sha256').update(source).digest('hex')}'`,
  'export const PASSES = [',
  ...(base64.match(new RegExp(`.{1,${LINE}}`, 'g')) ?? []).map(line => `  '${line}',`),
  "].join('')",
]
writeFileSync(MADE, `${lines.join('\n')}\n`)
console.log(`Made ${MADE}: ${compiled.length} bytes.`)
