// npm run walls: no import runs up a floor or past a store, and plain files have no clock and no dice.
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { cruiseHouse } from './support/cruise'

/** Things that make the same call give another answer: arguments in a plain file. */
const IMPURE: [RegExp, string][] = [
  [/\bDate\.now\(\)|\bnew Date\(\)/, 'the clock'],
  [/\bMath\.random\(\)|\bcrypto\.(randomUUID|getRandomValues)\(/, 'randomness'],
  [/\bprocess\.(env|cwd|argv)\b/, "the process's surroundings"],
]

async function brokenWalls(): Promise<string[]> {
  const { modules, imports, broken } = await cruiseHouse('.', [
    'app',
    'lib',
    'proxy.ts',
    'instrumentation.ts',
  ])
  // A version of TypeScript that the tool cannot use makes it see nothing, and find nothing wrong.
  if (modules < 50) return [`Only ${modules} modules were seen: the tool cannot read the sources.`]
  console.log(`${modules} modules, ${imports} imports`)
  return broken.map(one => `${one.way}\n    ${one.rule}: ${one.remedy}`)
}

function impurePlaces(folder = 'lib'): string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap(entry => {
    const path = join(folder, entry.name)
    if (path === join('lib', 'server') || entry.name === 'store.ts' || entry.name.endsWith('.worker.ts'))
      return []
    if (entry.isDirectory()) return impurePlaces(path)
    if (!/\.tsx?$/.test(entry.name)) return []
    return readFileSync(path, 'utf8')
      .split('\n')
      .flatMap((line, index) => {
        const code = line.replace(/^\s*(\/\/|\/?\*).*/, '')
        return IMPURE.filter(([pattern]) => pattern.test(code)).map(
          ([, what]) => `${path}:${index + 1}\n    A plain file reads ${what}: take it as an argument.`,
        )
      })
  })
}

const broken = [...(await brokenWalls()), ...impurePlaces()]
for (const one of broken) console.error(one)
if (broken.length) {
  console.error(`${broken.length} broken walls`)
  process.exitCode = 1
} else console.log('The walls stand.')
