/** The art desk on the command line: prints JSON or writes production files; 2 and one line on bad input. */
import { parseArgs } from 'node:util'
import { parseHex } from '@/lib/artwork/colour'
import { checkOf } from '@/lib/artwork/measure'
import { measurePath } from '@/lib/artwork/measure-path'
import { readNestSheet } from '@/lib/artwork/nest-sheet'
import { DEFAULT_OPENINGS, openingSettings } from '@/lib/artwork/print-files'
import { type ProductionTask, produce } from '@/lib/artwork/production'
import { isMethod, METHODS } from '@/lib/shop/methods'

const USAGE = `Usage:
  art check FILE --width-mm W --garment '#101010' --method ${METHODS.join('|')}
  art knockout IN OUT.png --garment HEX [--width-mm W] [--tolerance E] [--soft E] [--from-outside] [--keep-specks]
  art openings IN OUT.png --width-mm W [--shape dots|lines] [--lpi L] [--angle A] [--share 0.2] [--from-cm2 C]
  art mirror IN OUT.png --width-mm W
  art underbase IN OUT.png --garment HEX [--width-mm W] [--choke-mm C]
  art separate IN OUTDIR --width-mm W --garment HEX --inks N [--mesh T] [--choke-mm C] [--lpi L] [--angle A] [--label TEXT]
  art nest sheet.json OUT.pdf|OUT.png
sheet.json: { "sheet": { "widthMm", "heightMm" (left out: a roll), "gapMm": 5, "marginMm": 5 },
              "pieces": [{ "file", "id", "order", "widthMm", "heightMm", "count": 1, "turn": true }] }; files lie beside it`

class BadInput extends Error {}

const OPTIONS = {
  'width-mm': { type: 'string' },
  'height-mm': { type: 'string' },
  garment: { type: 'string' },
  method: { type: 'string' },
  inks: { type: 'string' },
  mesh: { type: 'string' },
  lpi: { type: 'string' },
  angle: { type: 'string' },
  shape: { type: 'string' },
  share: { type: 'string' },
  'from-cm2': { type: 'string' },
  label: { type: 'string' },
  tolerance: { type: 'string' },
  soft: { type: 'string' },
  'choke-mm': { type: 'string' },
  'from-outside': { type: 'boolean' },
  'keep-specks': { type: 'boolean' },
  help: { type: 'boolean' },
} as const

const { values, positionals } = (() => {
  try {
    return parseArgs({ options: OPTIONS, allowPositionals: true, strict: true })
  } catch (error) {
    return fail(error instanceof Error ? error.message : String(error))
  }
})()

function fail(message: string): never {
  process.stderr.write(`${message.replaceAll('\n', ' ')}\n`)
  process.exit(2)
}

type Measure =
  | 'width-mm'
  | 'height-mm'
  | 'choke-mm'
  | 'tolerance'
  | 'soft'
  | 'inks'
  | 'mesh'
  | 'lpi'
  | 'angle'
  | 'share'
  | 'from-cm2'

/** A number from the command line, within its bounds; undefined where it may be and is left out. */
function number(name: Measure, least: number, most: number): number | undefined {
  const text = values[name]
  if (text === undefined) return undefined
  const n = text.trim() === '' ? Number.NaN : Number(text)
  if (!(n >= least && n <= most))
    throw new BadInput(`--${name} ${text} is not a number from ${least} to ${most}.`)
  return n
}

function needed(name: Measure, least: number, most: number): number {
  const n = number(name, least, most)
  if (n === undefined) throw new BadInput(`--${name} is missing: give a number from ${least} to ${most}.`)
  return n
}

const LEAST_MM = 1
const MOST_MM = 3000

function size(widthNeeded: boolean): { widthMm?: number; heightMm?: number } {
  const widthMm = widthNeeded ? needed('width-mm', LEAST_MM, MOST_MM) : number('width-mm', LEAST_MM, MOST_MM)
  const heightMm = number('height-mm', LEAST_MM, MOST_MM)
  return { ...(widthMm === undefined ? {} : { widthMm }), ...(heightMm === undefined ? {} : { heightMm }) }
}

function garment(): string {
  if (values.garment === undefined)
    throw new BadInput("--garment is missing: give the cloth's colour, like --garment '#101010'.")
  if (!parseHex(values.garment))
    throw new BadInput(`--garment ${values.garment} is not a colour: write it like '#101010'.`)
  return values.garment
}

function path(index: number, what: string): string {
  const text = positionals[index]
  if (text === undefined)
    throw new BadInput(`${what} is missing: art ${positionals[0]} needs it; --help shows how.`)
  return text
}

async function make(task: ProductionTask): Promise<void> {
  const made = await produce(task)
  if (!made.ok) throw new BadInput(made.message)
  process.stdout.write(`${JSON.stringify(made.value, null, 2)}\n`)
}

const OUT = 'The file to write'

const commands: { [name: string]: () => Promise<void> } = {
  async check() {
    const file = path(1, 'The artwork file')
    const method = values.method ?? ''
    if (!isMethod(method)) throw new BadInput(`--method ${method} is not one of ${METHODS.join(', ')}.`)
    const measured = await measurePath(file, {
      widthMm: needed('width-mm', LEAST_MM, MOST_MM),
      ...size(true),
      garmentHex: garment(),
      method,
    })
    if (!measured.ok) throw new BadInput(measured.message)
    process.stdout.write(`${JSON.stringify(checkOf(measured.value), null, 2)}\n`)
  },
  knockout: () => {
    const tolerance = number('tolerance', 0, 100)
    const soft = number('soft', 0, 100)
    return make({
      kind: 'knockout',
      from: path(1, 'The artwork file'),
      to: path(2, OUT),
      garmentHex: garment(),
      settings: {
        ...(tolerance === undefined ? {} : { tolerance }),
        ...(soft === undefined ? {} : { soft }),
        ...(values['from-outside'] ? { reach: 'from-outside' } : {}),
        ...(values['keep-specks'] ? { specks: 'keep' } : {}),
      },
      ...size(false),
    })
  },
  openings: () => {
    const shape = values.shape ?? DEFAULT_OPENINGS.shape
    if (shape !== 'dots' && shape !== 'lines')
      throw new BadInput(`--shape ${shape} is neither dots nor lines.`)
    return make({
      kind: 'openings',
      from: path(1, 'The artwork file'),
      to: path(2, OUT),
      settings: openingSettings({
        shape,
        lpi: number('lpi', 4, 60) ?? DEFAULT_OPENINGS.lpi,
        angle: number('angle', 0, 180) ?? DEFAULT_OPENINGS.angle,
        share: number('share', 0, 0.6) ?? DEFAULT_OPENINGS.share,
        fromCm2: number('from-cm2', 0, 10_000) ?? DEFAULT_OPENINGS.fromCm2,
      }),
      ...size(true),
    })
  },
  mirror: () => make({ kind: 'mirror', from: path(1, 'The artwork file'), to: path(2, OUT), ...size(true) }),
  underbase: () => {
    const chokeMm = number('choke-mm', 0, 5)
    return make({
      kind: 'underbase',
      from: path(1, 'The artwork file'),
      to: path(2, OUT),
      garmentHex: garment(),
      ...(chokeMm === undefined ? {} : { chokeMm }),
      ...size(false),
    })
  },
  separate: () => {
    const mesh = number('mesh', 30, 600)
    const chokeMm = number('choke-mm', 0, 5)
    const lpi = number('lpi', 10, 100)
    const angle = number('angle', 0, 180)
    return make({
      kind: 'separate',
      from: path(1, 'The artwork file'),
      to: path(2, 'The folder for the films'),
      garmentHex: garment(),
      inks: needed('inks', 1, 12),
      ...(mesh === undefined ? {} : { mesh }),
      ...(chokeMm === undefined ? {} : { chokeMm }),
      ...(lpi === undefined ? {} : { lpi }),
      ...(angle === undefined ? {} : { angle }),
      ...(values.label === undefined ? {} : { label: values.label }),
      ...size(true),
    })
  },
  async nest() {
    const sheet = await readNestSheet(path(1, 'The sheet file'))
    if (!sheet.ok) throw new BadInput(sheet.message)
    await make({ ...sheet.value, to: path(2, OUT) })
  },
}

const command = commands[positionals[0] ?? '']
if (values.help || !command) {
  if (values.help) process.stdout.write(`${USAGE}\n`)
  else
    fail(
      `${positionals[0] === undefined ? 'No command' : `There is no command “${positionals[0]}”`}: use check, knockout, openings, mirror, underbase, separate or nest; --help shows how.`,
    )
} else {
  await (async () => command())().catch((error: unknown) => {
    if (error instanceof BadInput) fail(error.message)
    throw error
  })
}
