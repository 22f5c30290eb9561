/** Where an input of a figure came from, from the strongest to the weakest; worked: from other inputs, by a working of its own. */
export type Origin = 'measured' | 'agreed' | 'setting' | 'published' | 'default' | 'worked'

/** What people read for each origin. */
export const ORIGIN_WORDS: Record<Origin, string> = {
  measured: 'measured here',
  agreed: 'agreed',
  setting: 'shop setting',
  published: 'published source',
  default: 'default',
  worked: 'worked out',
}

/** One input of a figure: shown as "name: value", with where it came from. */
export type WorkingInput = {
  name: string
  /** As people read it, unit included: "254 mm", "€12.50". */
  value: string
  from: Origin
  /** The source by name, where it is published, or the place in the shop where it is set. */
  source?: string
  /** The working of this input, where it is itself a figure. */
  working?: Working
}

/** How a figure came about: it opens on the screen for anyone who doubts it. */
export type Working = {
  /** In words and signs: "covered area × deposit × density". */
  formula: string
  inputs: WorkingInput[]
  /** As people read it, unit included. */
  result: string
  /** What is good to know: rounding, limits, a default that wants measuring. */
  note?: string
}

/** A value that carries its working. */
export type Worked<T> = { value: T; working: Working }
