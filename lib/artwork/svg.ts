import { ok, type Result, refuse } from '@/lib/units/result'

/** An SVG's own proportions, in its user units. */
export type SvgSize = { width: number; height: number; text: boolean }

const LENGTH = /^\s*\+?(\d*\.?\d+(?:e[+-]?\d+)?)\s*(px|pt|pc|mm|cm|in|q)?\s*$/i
const PX_PER: { [unit: string]: number } = {
  px: 1,
  pt: 96 / 72,
  pc: 16,
  mm: 96 / 25.4,
  cm: 96 / 2.54,
  in: 96,
  q: 96 / 101.6,
}

/**
 * Looks through an SVG before it is drawn: what it refers to outside itself is refused, for the drawing would lack
 * it and nothing outside the upload may be read; so are entities that read files or grow. Scripts and animations are
 * not run by the renderer.
 */
export function inspectSvg(text: string): Result<SvgSize> {
  const entities = [...text.matchAll(/<!ENTITY\s+(%\s+)?[\w.:-]+\s+(?:"([^"]*)"|'([^']*)'|[^>]*)/gi)].map(
    m => m[2] ?? m[3],
  )
  // Plain short ones are what drawing programs write for namespaces; others read files, or grow without end.
  if (entities.some(value => value === undefined || value.length > 200 || value.includes('&')))
    return refuse(
      'svg-entities',
      'This SVG defines entities that are not read: export it again as plain SVG, or as PNG at 300 ppi.',
    )
  const refs = [
    ...text.matchAll(/(?:xlink:)?\bhref\s*=\s*(?:"([^"]*)"|'([^']*)')/gi),
    ...text.matchAll(/\burl\(\s*["']?([^"')]*)/gi),
    ...text.matchAll(/@import\s+["']([^"']*)/gi),
    ...text.matchAll(/<\?xml-stylesheet[^>]*\bhref\s*=\s*["']([^"']*)/gi),
  ].map(m => ({ at: m.index, to: (m[1] ?? m[2] ?? '').trim() }))
  const outside = refs.find(r => r.to !== '' && !/^(#|data:)/i.test(r.to) && !isPlainLink(text, r.at))
  if (outside)
    return refuse(
      'svg-outside',
      `This SVG refers to something outside itself (“${outside.to.slice(0, 60)}”): embed it and save the file again.`,
    )
  const tag = /<(?:\w+:)?svg\b[^>]*>/i.exec(text)?.[0]
  if (!tag) return refuse('svg-broken', 'This SVG has no drawing in it: export it again.')
  const attribute = (name: string): string | undefined =>
    new RegExp(`\\s${name}\\s*=\\s*["']([^"']*)["']`, 'i').exec(tag)?.[1]
  const length = (value: string | undefined): number | null => {
    const m = LENGTH.exec(value ?? '')
    return m?.[1] ? Number(m[1]) * PX_PER[(m[2] ?? 'px').toLowerCase()]! : null
  }
  const box = attribute('viewBox')
    ?.trim()
    .split(/[\s,]+/)
    .map(Number)
  const boxed = box?.length === 4 && box.every(Number.isFinite) ? box : null
  const width = length(attribute('width')) ?? boxed?.[2] ?? null
  const height = length(attribute('height')) ?? boxed?.[3] ?? null
  if (width === null || height === null || !(width > 0) || !(height > 0))
    return refuse(
      'svg-size',
      'This SVG does not say how large it is: give it a width and height or a viewBox, and save it again.',
    )
  return ok({ width, height, text: /<(?:\w+:)?text\b/i.test(text) })
}

/** A hyperlink (`<a href>`) is never followed when drawing, nor are the licence notes of a metadata block. */
function isPlainLink(text: string, at: number): boolean {
  const open = text.lastIndexOf('<', at)
  const tag = /^<\/?([\w:]+)/.exec(text.slice(open, open + 80))?.[1]?.toLowerCase() ?? ''
  return (
    tag === 'a' || tag === 'svg:a' || tag.startsWith('cc:') || tag.startsWith('rdf:') || tag.startsWith('dc:')
  )
}
