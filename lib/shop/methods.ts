import { z } from 'zod'

/** The four ways to print that stand side by side. */
export const METHODS = ['transfer', 'sublimation', 'dtg', 'screen'] as const
export type MethodId = (typeof METHODS)[number]
export const methodSchema = z.enum(METHODS)

/** Trade name, short name for narrow places, and what it is in one sentence. */
export const METHOD_WORDS: Record<MethodId, { name: string; short: string; what: string }> = {
  transfer: {
    name: 'Heat-applied transfer',
    short: 'Transfer',
    what: 'A print on film that the heat press bonds onto nearly any fabric.',
  },
  sublimation: {
    name: 'Sublimation',
    short: 'Sublimation',
    what: 'Dye that turns to gas in the press and settles inside polyester: nothing to feel, no white.',
  },
  dtg: {
    name: 'Direct-to-garment (DTG)',
    short: 'DTG',
    what: 'Water-based ink jetted straight onto cotton, over a white underbase on dark cloth.',
  },
  screen: {
    name: 'Screen print',
    short: 'Screen',
    what: 'Ink pushed through one screen for each colour: slow to set up, quick to run.',
  },
}
/** Whether a text from outside names a method. */
export const isMethod = (text: string): text is MethodId => (METHODS as readonly string[]).includes(text)
