/** The art desk on the command line: prints JSON or writes production files; 2 and one line on bad input. */
import { parseArgs } from 'node:util'
import { parseHex } from '@/lib/artwork/colour'
import { ART_METHODS, isArtMethod } from '@/lib/artwork/limits'
import { checkOf } from '@/lib/artwork/measure'
import { measurePath } from '@/lib/artwork/measure-path'

const USAGE = `Usage:
  art check FILE --width-mm W --garment '#101010' --method ${ART_METHODS.join('|')}`

class BadInput extends Error {}

const OPTIONS = {
  'width-mm': { type: 'string' },
  'height-mm': { type: 'string' },
  garment: { type: 'string' },
  method: { type: 'string' },
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

function millimetres(name: 'width-mm' | 'height-mm'): number {
  const text = values[name]
  const n = Number(text)
  if (text === undefined)
    throw new BadInput(`--${name} is missing: give the printed size in mm, like --${name} 254.`)
  if (!(n > 0 && n <= 3000))
    throw new BadInput(`--${name} ${text} is not a printed size: give mm over 0 and up to 3000.`)
  return n
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
  if (text === undefined) throw new BadInput(`${what} is missing.\n${USAGE}`)
  return text
}

const commands: { [name: string]: () => Promise<void> } = {
  async check() {
    const file = path(1, 'The artwork file')
    const method = values.method ?? ''
    if (!isArtMethod(method))
      throw new BadInput(`--method ${method} is not one of ${ART_METHODS.join(', ')}.`)
    const measured = await measurePath(file, {
      widthMm: millimetres('width-mm'),
      ...(values['height-mm'] === undefined ? {} : { heightMm: millimetres('height-mm') }),
      garmentHex: garment(),
      method,
    })
    if (!measured.ok) throw new BadInput(measured.message)
    process.stdout.write(`${JSON.stringify(checkOf(measured.value), null, 2)}\n`)
  },
}

const command = commands[positionals[0] ?? '']
if (values.help || !command) {
  if (values.help) process.stdout.write(`${USAGE}\n`)
  else fail(positionals[0] === undefined ? USAGE : `There is no command “${positionals[0]}”. ${USAGE}`)
} else {
  await command().catch((error: unknown) => {
    if (error instanceof BadInput) fail(error.message)
    throw error
  })
}
