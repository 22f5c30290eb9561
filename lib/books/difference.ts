/** A value that a change touched, as text; null where there was none. */
export type Difference = { name: string; before: string | null; after: string | null }

/** Most values that one change is shown with. */
const MOST = 60

/** What lies between two states of a thing, value by value, nested names joined by dots. Equal values are left out. */
export function differences(before: unknown, after: unknown): Difference[] {
  const was = flat(before)
  const is = flat(after)
  return [...new Set([...was.keys(), ...is.keys()])]
    .map(name => ({ name, before: was.get(name) ?? null, after: is.get(name) ?? null }))
    .filter(d => d.before !== d.after)
    .slice(0, MOST)
}

function flat(value: unknown, name = '', into = new Map<string, string>()): Map<string, string> {
  if (value !== null && typeof value === 'object') {
    for (const [key, inner] of Object.entries(value)) flat(inner, name ? `${name}.${key}` : key, into)
  } else if (value !== undefined && name) into.set(name, value === null ? '–' : String(value).slice(0, 200))
  return into
}
