import { METHOD_WORDS } from '@/lib/shop/methods'
import { cm2, formatArea, formatLength, type MeasureSystem, mm } from '@/lib/units/measure'
import { type Lab, labDistance, labOf } from './colour'
import type { ArtLimits, ArtMethod, PpiRules } from './limits'
import type { Detail, Measurement } from './measure'
import type { PixelBox } from './raster'

/** `stop`: do not print it so. `warn`: it will show. `note`: good to know. */
export type Severity = 'stop' | 'warn' | 'note'

/** Every kind of finding, worst first. */
export type FindingCode =
  | 'empty'
  | 'too-few-pixels'
  | 'low-resolution'
  | 'stretched'
  | 'unseen'
  | 'dark-ground'
  | 'printed-box'
  | 'thin-lines'
  | 'thin-gaps'
  | 'specks'
  | 'stiff-patch'
  | 'partly-transparent'
  | 'garment-colour'
  | 'below-house-rule'
  | 'declared-size'
  | 'empty-margin'
  | 'full-rectangle'
  | 'white-prints-nothing'
  | 'many-colours'
  | 'converted-colour'
  | 'first-page-only'
  | 'drawn-text'

/** One thing the shop should know, and where it is. */
export type Finding = {
  code: FindingCode
  severity: Severity
  message: string
  /** The places in pixels of the canvas, when the finding has any. */
  where?: PixelBox[]
}

type Context = {
  method: ArtMethod
  limits: ArtLimits
  rules: PpiRules
  system: MeasureSystem
  /** Resolution across ÷ down: 1 where the art keeps its proportions. */
  stretch: number
  /** Share of the inked pixels that are partly transparent. */
  softShare: number
  canvas: { width: number; height: number }
}

type Figures = Omit<Measurement, 'findings' | 'detail'>

const WHITE: Lab = [100, 0, 0]
/** Screens that a small press carries, and how far spots may miss the art (mean CIEDE2000). Common practice. */
const MOST_SPOTS = 6
const SPOTS_MISS = 4
/** Lightness below which transparent dye no longer shows true on the cloth. */
const LIGHT_GROUND = 85
/** A method's name within a sentence. */
const printed = (method: ArtMethod): string => {
  const { name } = METHOD_WORDS[method]
  return name.charAt(0).toLowerCase() + name.slice(1)
}

/** Everything worth saying about a measured artwork, worst first, one sentence each: what, where, what next. */
export function findingsOf(m: Figures, detail: Detail, context: Context): Finding[] {
  const found: Finding[] = []
  const say = (code: FindingCode, severity: Severity, message: string, where?: PixelBox[]): void => {
    found.push({ code, severity, message, ...(where ? { where } : {}) })
  }
  const write = writer(m, context)
  if (!detail.bounds) {
    say(
      'empty',
      'stop',
      'The picture is fully transparent: there is nothing to print, so export the art again with its layers showing.',
    )
    return found
  }
  resolution(m, context, write, say)
  ground(m, detail, context, write, say)
  fineDetail(detail, context, write, say)
  surround(m, detail, context, write, say)
  file(m, context, write, say)
  const rank = { stop: 0, warn: 1, note: 2 }
  return found.sort((a, b) => rank[a.severity] - rank[b.severity])
}

type Say = (code: FindingCode, severity: Severity, message: string, where?: PixelBox[]) => void
type Write = ReturnType<typeof writer>

function writer(m: Figures, { system, canvas }: Context) {
  const perPx = m.print.widthMm / canvas.width
  const perPy = m.print.heightMm / canvas.height
  const length = (n: number): string => formatLength(mm(n), system)
  return {
    length,
    area: (n: number): string => formatArea(cm2(n), system),
    share: (n: number): string => `${n < 0.1 ? (100 * n).toFixed(1) : Math.round(100 * n)} %`,
    size: (b: PixelBox): string => `${length(b.width * perPx)} × ${length(b.height * perPy)}`,
    place: (b: PixelBox): string =>
      `${length((b.x + b.width / 2) * perPx)} from the left and ${length((b.y + b.height / 2) * perPy)} from the top`,
  }
}

function resolution(m: Figures, { rules, stretch }: Context, write: Write, say: Say): void {
  const ppi = Math.floor(m.print.ppi)
  const widest = write.length((m.print.widthMm * m.print.ppi) / rules.house)
  if (m.file.vector && m.print.ppi >= rules.house - 1) return
  if (m.print.ppi < rules.stopBelow)
    say(
      'too-few-pixels',
      'stop',
      `The art has only ${ppi} ppi at ${write.length(m.print.widthMm)} wide and the shop’s floor is ${rules.stopBelow}: ask for the original, or print it at most ${write.length((m.print.widthMm * m.print.ppi) / rules.stopBelow)} wide.`,
    )
  else if (m.print.ppi < rules.warnBelow)
    say(
      'low-resolution',
      'warn',
      `The art has ${ppi} ppi at ${write.length(m.print.widthMm)} wide and its edges will look soft: ask for a larger original, or print it up to ${widest} wide.`,
    )
  else if (m.print.ppi < rules.house - 0.5)
    say(
      'below-house-rule',
      'note',
      `The art has ${ppi} ppi at ${write.length(m.print.widthMm)} wide, under the house rule of ${rules.house}: it is sharp up to ${widest} wide.`,
    )
  if (Math.abs(stretch - 1) > 0.01)
    say(
      'stretched',
      'warn',
      `The size ${write.length(m.print.widthMm)} × ${write.length(m.print.heightMm)} stretches the art by ${write.share(Math.abs(stretch - 1))}: set one side and let the other follow.`,
    )
}

function ground(
  m: Figures,
  detail: Detail,
  { method, limits, softShare }: Context,
  write: Write,
  say: Say,
): void {
  const cloth = labOf(...detail.garment)
  const { areaBeforeCm2: before, areaAfterCm2: after, largestSolidAfterCm2: patch } = m.knockout
  if (before > 0 && after < 0.02 * before)
    say(
      'unseen',
      'warn',
      'Nearly all of the art is the colour of the cloth and would not be seen: choose another cloth or another ink colour.',
    )
  else if (before - after > 0.03 * before)
    say(
      'garment-colour',
      method === 'sublimation' ? 'note' : 'warn',
      `${write.area(before - after)} of the art is the cloth’s own colour: knock it out, so that the cloth shows and ${write.area(after)} are left to print.`,
    )
  if (method === 'sublimation' && cloth[0] < LIGHT_GROUND)
    say(
      'dark-ground',
      'warn',
      'Sublimation dye is transparent and has no white: on this cloth the colours sink in, so choose white or a light ground.',
    )
  const whites = detail.palette.colours.filter(c => labDistance(c.lab, WHITE) < 3)
  const white = whites.reduce((n, c) => n + c.share, 0)
  if (method === 'sublimation' && white > 0.01)
    say(
      'white-prints-nothing',
      'note',
      `${write.share(white)} of the art is white, which sublimation does not print: the cloth shows there.`,
    )
  if (limits.stiffPatchCm2 !== null && patch > limits.stiffPatchCm2 && detail.largestAfter)
    say(
      'stiff-patch',
      'warn',
      `One unbroken patch of ${write.area(patch)} (${write.place(detail.largestAfter.box)}) will feel stiff and hold sweat: break it up with small openings, or knock the cloth’s colour out.`,
      [detail.largestAfter.box],
    )
  if (method !== 'sublimation' && softShare > 0.1)
    say(
      'partly-transparent',
      'warn',
      `${write.share(softShare)} of the art is partly transparent, which ${printed(method)} shows as a rough or milky edge: make it solid, or turn it into a halftone.`,
    )
  const { colours, residual } = detail.palette
  if (method === 'screen' && colours.length > MOST_SPOTS)
    say(
      'many-colours',
      'note',
      `The art holds ${colours.length} colours or more, a screen each: mix its tones from halftones of fewer inks, or take another method.`,
    )
  else if (method === 'screen' && residual > SPOTS_MISS)
    say(
      'many-colours',
      'note',
      `The art has tones that ${colours.length} spot inks miss by ${residual.toFixed(1)} on average (CIEDE2000; 3 is small): it needs halftones, or another method.`,
    )
}

function fineDetail(
  { thinInk, thinGaps, specks }: Detail,
  { limits, method }: Context,
  write: Write,
  say: Say,
): void {
  const shown = (n: number, one: string, many: string): string =>
    n === 1 ? `1 ${one} is` : `${n} ${many} are`
  const ink = thinInk.places[0]
  if (ink)
    say(
      'thin-lines',
      'warn',
      `${shown(thinInk.count, 'line', 'lines')} thinner than ${write.length(limits.lineMm)}, the least that holds in ${printed(method)} (the largest at ${write.place(ink.box)}): thicken them or print larger.`,
      thinInk.places.map(p => p.box),
    )
  if (specks > 0)
    say(
      'specks',
      'warn',
      `${shown(specks, 'speck', 'specks')} no larger than ${write.length(limits.lineMm)} and may not hold in ${printed(method)}: clear ${specks === 1 ? 'it' : 'them'} when knocking out, or thicken ${specks === 1 ? 'it' : 'them'}.`,
    )
  const gap = thinGaps.places[0]
  if (gap)
    say(
      'thin-gaps',
      'warn',
      `${shown(thinGaps.count, 'gap', 'gaps')} narrower than ${write.length(limits.gapMm)} and may close up in ${printed(method)} (the largest at ${write.place(gap.box)}): open them or print larger.`,
      thinGaps.places.map(p => p.box),
    )
}

function surround(
  m: Figures,
  { surround: s, bounds, palette, garment }: Detail,
  { method, canvas }: Context,
  write: Write,
  say: Say,
): void {
  const box = bounds!
  const where = [box]
  const alone = palette.colours.length === 1 && palette.residual < 1
  if (s.kind === 'picture')
    say(
      'full-rectangle',
      'note',
      `The art fills its whole rectangle of ${write.size(box)} like a photograph: its straight edges will show on the cloth.`,
      where,
    )
  if (s.kind === 'box' && !alone) {
    const lab = labOf(...s.rgb)
    const white = labDistance(lab, WHITE) < 1
    if (method === 'sublimation' && white)
      say(
        'printed-box',
        'note',
        'The art stands on a white background, which sublimation does not print: nothing is lost, but take it out before another method is used.',
        where,
      )
    else if (method !== 'sublimation' && labDistance(lab, labOf(...garment)) < 6)
      say(
        'printed-box',
        'warn',
        `A box of the cloth’s own colour (${s.hex}, ${write.size(box)}) stands around the art and would print as a visible patch: knock it out.`,
        where,
      )
    else
      say(
        'printed-box',
        'warn',
        `A printed box (${s.hex}, ${write.size(box)}) stands around the art and its edge will show on the cloth: take the background out, unless it is wanted.`,
        where,
      )
  }
  if (box.width < 0.9 * canvas.width || box.height < 0.9 * canvas.height)
    say(
      'empty-margin',
      'note',
      `The art itself is ${write.size(box)} within its canvas of ${write.length(m.print.widthMm)} × ${write.length(m.print.heightMm)}: crop the empty margin, or the print comes out smaller than agreed.`,
      where,
    )
}

function file({ file: f, print }: Figures, { canvas }: Context, write: Write, say: Say): void {
  if (f.declaredPpi !== null && Math.abs(f.declaredPpi / print.ppi - 1) > 0.02)
    say(
      'declared-size',
      'note',
      `The file says ${Math.round(f.declaredPpi)} ppi, which would be ${write.length((canvas.width / f.declaredPpi) * 25.4)} wide: the size on the order counts, so check that it is the one that was meant.`,
    )
  if (f.convertedFrom !== null)
    say(
      'converted-colour',
      f.convertedFrom === 'CMYK' ? 'warn' : 'note',
      `The file was ${f.convertedFrom} and was turned into sRGB: compare the colours with the customer’s before printing.`,
    )
  if (f.format === 'pdf')
    say(
      'converted-colour',
      'note',
      'The PDF was drawn in sRGB. CMYK and spot colours in it were mixed by a fixed table, not by the profile of a press: compare the colours with the customer’s before printing.',
    )
  if (f.pages > 1)
    say(
      'first-page-only',
      'note',
      `The file holds ${f.pages} pictures or pages and only the first is used: send the others as files of their own.`,
    )
  if (f.drawnText)
    say(
      'drawn-text',
      'warn',
      'The drawing holds live letters, which were drawn with this computer’s fonts: turn them into outlines and send it again, or compare every letter.',
    )
}
