/** One value of a body, as a person reads it. */
export type SchemaRow = { name: string; what: string; needed: boolean; about: string }

type Schema = {
  $ref?: string
  type?: string
  description?: string
  format?: string
  enum?: string[]
  const?: unknown
  default?: unknown
  minLength?: number
  maxLength?: number
  minimum?: number
  maximum?: number
  maxItems?: number
  items?: Schema
  properties?: Record<string, Schema>
  required?: string[]
  additionalProperties?: Schema | boolean
  propertyNames?: Schema
  anyOf?: Schema[]
}

const FORMATS: Record<string, string> = {
  date: 'day, like 2026-05-22',
  'date-time': 'moment (RFC 3339)',
  email: 'e-mail address',
  uuid: 'UUID',
}

/** The kind of a value in words: "text, at most 120 letters". */
function kindOf(s: Schema): string {
  if (s.const !== undefined) return `“${String(s.const)}”`
  if (s.enum) return `one of ${s.enum.join(', ')}`
  if (s.anyOf) return s.anyOf.map(kindOf).join(' or ')
  if (s.format && FORMATS[s.format]) return FORMATS[s.format] as string
  switch (s.type) {
    case 'string':
      return s.maxLength ? `text, at most ${s.maxLength} letters` : 'text'
    case 'integer':
    case 'number': {
      const kind = s.type === 'integer' ? 'whole number' : 'number'
      const most = s.maximum !== undefined && s.maximum < Number.MAX_SAFE_INTEGER ? s.maximum : undefined
      return s.minimum !== undefined && most !== undefined && s.minimum > Number.MIN_SAFE_INTEGER
        ? `${kind} from ${s.minimum} to ${most}`
        : kind
    }
    case 'boolean':
      return 'true or false'
    case 'array':
      return s.maxItems ? `list of at most ${s.maxItems}` : 'list'
    case 'null':
      return 'null'
    default:
      return 'object'
  }
}

/** A schema as rows, what lies in others named by its path: lines[].sizes. @param parts the schemas that references name */
export function schemaRows(schema: Schema, parts: Record<string, Schema>, path = '', depth = 0): SchemaRow[] {
  const open = (s: Schema): Schema => {
    const name = s.$ref?.split('/').at(-1)
    const found = name === undefined ? undefined : parts[name]
    return found ? { ...found, ...(s.description ? { description: s.description } : {}) } : s
  }
  const own = open(schema)
  if (depth > 6) return []
  return Object.entries(own.properties ?? {}).flatMap(([key, value]) => {
    const s = open(value)
    const name = path ? `${path}.${key}` : key
    const sizes = s.propertyNames?.enum
    const said = [
      s.description ?? '',
      s.default !== undefined ? `Left out: ${JSON.stringify(s.default)}.` : '',
    ]
    const row = {
      name,
      what: sizes ? `object: ${kindOf(s.additionalProperties as Schema)} by ${sizes.join(', ')}` : kindOf(s),
      needed: own.required?.includes(key) ?? false,
      about: said.filter(Boolean).join(' '),
    }
    const inner = s.items
      ? schemaRows(s.items, parts, `${name}[]`, depth + 1)
      : schemaRows(s, parts, name, depth + 1)
    return [row, ...inner]
  })
}
