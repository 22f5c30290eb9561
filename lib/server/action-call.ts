/** Deeper than anything that a page sends: an answer within a list within a call. */
const DEEPEST = 30

/** Longer than the name of any field; the framework's reader takes some thousands at most, and no control characters. */
const LONGEST_NAME = 500
const hasControl = (text: string): boolean => [...text].some(c => c < ' ' || c === '\x7f')

/** Marks of the framework that refer to another part of the call, by its number in hex. */
const REFERS = /^\$(?:[@QWFhiBAOoUSsLlGgMmV]?)([0-9a-f]+)(?::.*)?$/

/**
 * Whether a call of a server action is one that the framework can take apart. It answers a bad one as a fault of its own; so that what
 * somebody made up is told from a fault, such a call is refused before.
 * @param parts the call's fields, in order; files are no text and need no look
 */
export function isActionCall(parts: Iterable<readonly [string, unknown]>): boolean {
  const all = [...parts]
  const names = new Set(all.map(([name]) => name))
  for (const [name, value] of all) {
    if (name.length > LONGEST_NAME || hasControl(name)) return false
    const isPart = /^\d+$/.test(name) || /^\$ACTION_\w*:\d+$/.test(name)
    if (!isPart) continue
    if (typeof value !== 'string' || !isArguments(value, names, name)) return false
  }
  return true
}

/** Whether a text is a part of a call: JSON, not too deep, and referring only to parts that are there. */
export function isArguments(text: string, names: ReadonlySet<string> = new Set(), name = ''): boolean {
  let value: unknown
  try {
    value = JSON.parse(text)
  } catch {
    return false
  }
  const prefix = /^(\$ACTION_\w*:)\d+$/.exec(name)?.[1] ?? ''
  const fits = (one: unknown, depth: number): boolean => {
    if (depth > DEEPEST) return false
    if (typeof one === 'string') return textFits(one, names, prefix)
    if (typeof one !== 'object' || one === null) return true
    return Object.entries(one).every(([key, inner]) => key !== '__proto__' && fits(inner, depth + 1))
  }
  return fits(value, 0)
}

function textFits(text: string, names: ReadonlySet<string>, prefix: string): boolean {
  if (!text.startsWith('$') || text.startsWith('$$')) return true
  if (/^\$(undefined|NaN|-?Infinity|-0|T)$/.test(text)) return true
  if (/^\$n-?\d{1,300}$/.test(text)) return true
  if (/^\$D/.test(text)) return Number.isFinite(Date.parse(text.slice(2)))
  // A form: its fields begin with the number.
  if (/^\$K[0-9a-f]+$/.test(text)) return true
  const part = REFERS.exec(text)?.[1]
  return part !== undefined && names.has(`${prefix}${Number.parseInt(part, 16)}`)
}
