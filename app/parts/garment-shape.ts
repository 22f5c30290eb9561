import type { BlankKind, Outline } from '@/lib/shop/blanks'

/** A line on the garment: seams are solid, stitching is dashed; one outside it (a handle, a neck loop) has no cloth behind. */
export type GarmentLine = { d: string; stitched?: boolean; outside?: boolean }

/**
 * A blank laid flat, in mm. The origin is where drops are measured from: the collar seam in the middle (front or back), the
 * upper edge of a bag, the rim of a mug. x grows to the reader's right, y grows down.
 */
export type GarmentShape = {
  box: { x: number; y: number; width: number; height: number }
  /** Filled with the cloth. */
  silhouette: string
  /** Parts that lie deeper: the inside of the collar. Filled a shade away from the cloth. */
  deeper: string[]
  lines: GarmentLine[]
  /** Middle of the wearer's left sleeve hem, where there is one, and its tilt in degrees. */
  sleeve?: { x: number; y: number; tilt: number }
  /** What a drop is measured from. */
  from: string
}

const n = (v: number) => Number(v.toFixed(1))
/** Path text from numbers and letters; numbers to a tenth of a millimetre. */
const path = (...parts: (string | number)[]): string =>
  parts.map(p => (typeof p === 'number' ? n(p) : p)).join(' ')
const box = (left: number, top: number, right: number, bottom: number) => ({
  x: n(left),
  y: n(top),
  width: n(right - left),
  height: n(bottom - top),
})

/** The drawn shape of a blank. Proportions follow usual flat measures; the outline's width and length are kept exactly. */
export function garmentShape(kind: BlankKind, side: 'front' | 'back', outline: Outline): GarmentShape {
  const { widthMm: w, collarToHemMm: h } = outline
  switch (kind) {
    case 'tee':
    case 'long-sleeve':
    case 'sweatshirt':
    case 'hoodie':
    case 'polo':
    case 'tank':
      return top(kind, side, w, h)
    case 'tote':
      return tote(w, h)
    case 'apron':
      return apron(w, h)
    case 'mug':
    case 'bottle':
      return wrap(kind, w, h)
    case 'plate':
      return plate(w)
    case 'sock':
      return sock(w, h)
  }
}

/** From the highest shoulder point down to the collar seam, mm: in front, and in the back. */
const SHOULDER = { front: 95, back: 20 }

function top(kind: BlankKind, side: 'front' | 'back', w: number, collarToHem: number): GarmentShape {
  const front = side === 'front'
  const high = -SHOULDER[side]
  // The outline is measured from the front collar seam; the back's seam lies higher.
  const hem = collarToHem + (front ? 0 : SHOULDER.front - SHOULDER.back)
  const tank = kind === 'tank'
  const long = kind === 'long-sleeve' || kind === 'sweatshirt' || kind === 'hoodie'
  const ribbed = kind === 'sweatshirt' || kind === 'hoodie'
  const half = w / 2
  const neck = w * (tank ? 0.165 : 0.17)
  const shoulder = { x: w * (tank ? 0.265 : 0.43), y: high + w * 0.085 }
  const arm = { x: half, y: high + w * 0.47 }
  // The sleeve as a vector from the shoulder point, and its opening across.
  const reach = long ? 1.16 * w : 0.43 * w
  const dir = long ? { x: 0.42, y: 0.9075 } : { x: 0.845, y: 0.535 }
  const opening = w * (long ? 0.19 : 0.33)
  const outer = { x: shoulder.x + dir.x * reach, y: shoulder.y + dir.y * reach }
  const inner = { x: outer.x - dir.y * opening, y: outer.y + dir.x * opening }

  const right = tank
    ? path(
        'L',
        shoulder.x,
        shoulder.y,
        'C',
        shoulder.x - 8,
        arm.y - w * 0.12,
        half - w * 0.1,
        arm.y,
        arm.x,
        arm.y,
      )
    : path('L', shoulder.x, shoulder.y, 'L', outer.x, outer.y, 'L', inner.x, inner.y, 'L', arm.x, arm.y)
  const left = tank
    ? path('C', -half + w * 0.1, arm.y, -shoulder.x + 8, arm.y - w * 0.12, -shoulder.x, shoulder.y)
    : path('L', -inner.x, inner.y, 'L', -outer.x, outer.y, 'L', -shoulder.x, shoulder.y)
  const backDip = high + 16
  const silhouette = path(
    ...['M', -neck, high, 'Q', 0, backDip + 10, neck, high],
    right,
    ...['C', half - 4, arm.y + (hem - arm.y) * 0.4, half - 4, hem - 40, half, hem],
    ...['Q', 0, hem + 12, -half, hem],
    ...['C', -half + 4, hem - 40, -half + 4, arm.y + (hem - arm.y) * 0.4, -half, arm.y],
    left,
    'Z',
  )

  const seam = front
    ? path(
        'M',
        -neck,
        high,
        'C',
        -neck * 0.92,
        high * 0.3,
        -neck * 0.55,
        0,
        0,
        0,
        'S',
        neck * 0.92,
        high * 0.3,
        neck,
        high,
      )
    : path('M', -neck, high, 'Q', -neck * 0.5, 0, 0, 0, 'Q', neck * 0.5, 0, neck, high)
  const rib = 20
  const inside = path(
    ...['M', -neck + rib * 0.7, high + 2, 'C', -neck * 0.8, high * 0.45, -neck * 0.45, -rib, 0, -rib],
    ...['S', neck * 0.8, high * 0.45, neck - rib * 0.7, high + 2],
    ...['Q', 0, backDip + 8, -neck + rib * 0.7, high + 2, 'Z'],
  )
  const lines: GarmentLine[] = [{ d: seam }]
  const deeper: string[] = []
  if (front && kind !== 'polo' && kind !== 'hoodie') {
    deeper.push(inside)
    lines.push({ d: inside })
  }

  if (tank) {
    lines.push({ d: path('M', -half + 2, hem - 22, 'Q', 0, hem - 10, half - 2, hem - 22), stitched: true })
  } else {
    // Armholes, from the shoulder point to the underarm.
    for (const s of [1, -1])
      lines.push({
        d: path(
          ...['M', s * shoulder.x, shoulder.y, 'C', s * (shoulder.x - w * 0.04), shoulder.y + w * 0.14],
          ...[s * (half - w * 0.06), arm.y - w * 0.06, s * arm.x, arm.y],
        ),
      })
    const cuff = ribbed ? 62 : 22
    for (const s of [1, -1])
      lines.push({
        d: path(
          ...['M', s * (outer.x - dir.x * cuff), outer.y - dir.y * cuff],
          ...['L', s * (inner.x - dir.x * cuff), inner.y - dir.y * cuff],
        ),
        stitched: !ribbed,
      })
    const band = ribbed ? 62 : 22
    lines.push({
      d: path('M', -half + 2, hem - band, 'Q', 0, hem - band + 12, half - 2, hem - band),
      stitched: !ribbed,
    })
  }

  let highest = high
  let extra = ''
  if (kind === 'polo') {
    const fall = front ? 42 : 30
    extra = front
      ? path(
          ...[
            'M',
            -neck,
            high,
            'Q',
            0,
            backDip + 10,
            neck,
            high,
            'L',
            neck + 16,
            high + 34,
            'L',
            neck * 0.5,
            18,
          ],
          ...['L', 0, -22, 'L', -neck * 0.5, 18, 'L', -neck - 16, high + 34, 'Z'],
        )
      : path(
          'M',
          -neck,
          high,
          'Q',
          0,
          high - 14,
          neck,
          high,
          'L',
          neck + 8,
          fall - 8,
          'Q',
          0,
          fall + 8,
          -neck - 8,
          fall - 8,
          'Z',
        )
    lines.push({ d: extra })
    if (front) {
      lines.push({ d: path('M', -16, -10, 'V', 130, 'H', 16, 'V', -10) })
      deeper.push(
        path('M', -neck + 14, high + 6, 'Q', 0, backDip + 12, neck - 14, high + 6, 'L', 0, -22, 'Z'),
      )
    }
  }
  if (kind === 'hoodie') {
    highest = front ? high - w * 0.4 : high - 14
    if (front) {
      const peak = highest
      extra = path(
        ...['M', -neck - 24, high + 30, 'C', -neck - 40, high - w * 0.2, -neck * 0.9, peak, 0, peak],
        ...['S', neck + 40, high - w * 0.2, neck + 24, high + 30, 'C', neck * 0.7, -6, neck * 0.3, 0, 0, 0],
        ...['S', -neck * 0.7, -6, -neck - 24, high + 30, 'Z'],
      )
      const opening = path(
        ...[
          'M',
          0,
          -8,
          'C',
          -neck * 0.6,
          high * 0.5,
          -neck * 0.95,
          high - w * 0.1,
          -neck * 0.66,
          peak + w * 0.12,
        ],
        ...['Q', 0, peak + w * 0.045, neck * 0.66, peak + w * 0.12],
        ...['C', neck * 0.95, high - w * 0.1, neck * 0.6, high * 0.5, 0, -8, 'Z'],
      )
      deeper.push(opening)
      lines.push({ d: extra }, { d: opening })
      const pocketTop = hem - 62 - w * 0.36
      lines.push({
        d: path(
          ...['M', -w * 0.19, pocketTop, 'H', w * 0.19, 'L', w * 0.31, pocketTop + w * 0.17, 'V', hem - 56],
          ...['H', -w * 0.31, 'V', pocketTop + w * 0.17, 'Z'],
        ),
      })
    } else {
      extra = path(
        ...['M', -neck - 22, high + 6, 'Q', 0, high - 26, neck + 22, high + 6],
        ...[
          'C',
          neck + 34,
          w * 0.22,
          neck * 0.5,
          w * 0.34,
          0,
          w * 0.36,
          'S',
          -neck - 34,
          w * 0.22,
          -neck - 22,
          high + 6,
          'Z',
        ],
      )
      lines.push({ d: extra }, { d: path('M', 0, high - 10, 'V', w * 0.36), stitched: true })
    }
  }
  const widest = tank ? half : Math.max(half, outer.x)
  return {
    box: box(-widest, highest, widest, Math.max(hem + 8, tank ? 0 : inner.y)),
    silhouette: extra ? `${silhouette} ${extra}` : silhouette,
    deeper,
    lines,
    ...(tank
      ? {}
      : {
          sleeve: {
            // The wearer's left is the reader's right in front, and the reader's left from behind.
            x: n(((outer.x + inner.x) / 2) * (front ? 1 : -1)),
            y: n((outer.y + inner.y) / 2),
            tilt: n(((Math.atan2(dir.y, dir.x) * 180) / Math.PI - 90) * (front ? 1 : -1)),
          },
        }),
    from: front ? 'below the collar seam' : 'below the back collar seam',
  }
}

function tote(w: number, h: number): GarmentShape {
  const half = w / 2
  const handle = (inset: number) =>
    path(
      'M',
      -w * 0.24 + inset,
      0,
      'C',
      -w * 0.24 + inset,
      -h * 0.62 + inset,
      w * 0.24 - inset,
      -h * 0.62 + inset,
      w * 0.24 - inset,
      0,
    )
  return {
    box: box(-half, -h * 0.48, half, h),
    silhouette: `${path('M', -half, 0, 'H', half, 'L', half - 4, h, 'H', -half + 4, 'Z')} ${path(
      ...['M', -w * 0.27, 0, 'C', -w * 0.27, -h * 0.66, w * 0.27, -h * 0.66, w * 0.27, 0, 'H', w * 0.21],
      ...['C', w * 0.21, -h * 0.57, -w * 0.21, -h * 0.57, -w * 0.21, 0, 'Z'],
    )}`,
    deeper: [],
    lines: [
      { d: path('M', -half, 0, 'H', half) },
      { d: path('M', -half + 1, 28, 'H', half - 1), stitched: true },
      { d: handle(0), stitched: true },
    ],
    from: 'below the upper edge',
  }
}

function apron(w: number, h: number): GarmentShape {
  const half = w / 2
  const skirt = w * 1.15
  return {
    box: box(-skirt, -150, skirt, h * 2.4),
    silhouette: path(
      ...['M', -half, 0, 'H', half, 'C', half, h * 0.55, w * 0.7, h * 0.85, skirt, h],
      ...['V', h * 2.4, 'H', -skirt, 'V', h, 'C', -w * 0.7, h * 0.85, -half, h * 0.55, -half, 0, 'Z'],
    ),
    deeper: [],
    lines: [
      { d: path('M', -half, 0, 'C', -half, -190, half, -190, half, 0), outside: true },
      { d: path('M', -half, 24, 'H', half), stitched: true },
      {
        d: path(
          'M',
          -w * 0.55,
          h * 1.3,
          'V',
          h * 1.9,
          'H',
          w * 0.55,
          'V',
          h * 1.3,
          'Z',
          'M',
          0,
          h * 1.3,
          'V',
          h * 1.9,
        ),
      },
    ],
    from: 'below the upper edge',
  }
}

/** Round things are drawn unrolled: all round is the width, and the handle stands at both ends. */
function wrap(kind: 'mug' | 'bottle', w: number, h: number): GarmentShape {
  const half = w / 2
  const body = path('M', -half, 0, 'H', half, 'V', h, 'H', -half, 'Z')
  const middle: GarmentLine = { d: path('M', 0, 0, 'V', h), stitched: true }
  if (kind === 'bottle') {
    const neck = h * 0.2
    return {
      box: box(-half, -neck, half, h),
      silhouette: path(
        ...['M', -half, 0, 'L', -half * 0.82, -neck, 'H', half * 0.82, 'L', half, 0, 'V', h, 'H', -half, 'Z'],
      ),
      deeper: [],
      lines: [middle, { d: path('M', -half, 0, 'H', half) }],
      from: 'below the shoulder',
    }
  }
  const grip = h * 0.3
  const handle = (s: 1 | -1): GarmentLine => ({
    d: path(
      'M',
      s * half,
      h * 0.18,
      'C',
      s * (half + grip),
      h * 0.14,
      s * (half + grip),
      h * 0.86,
      s * half,
      h * 0.82,
    ),
    outside: true,
  })
  const reach = half + grip * 0.82
  return {
    box: box(-reach, 0, reach, h),
    silhouette: body,
    deeper: [],
    lines: [middle, handle(1), handle(-1)],
    from: 'below the rim',
  }
}

function plate(w: number): GarmentShape {
  const ring = (r: number) =>
    path('M', -r, w / 2, 'a', r, r, 0, 1, 0, 2 * r, 0, 'a', r, r, 0, 1, 0, -2 * r, 0, 'Z')
  return {
    box: box(-w / 2, 0, w / 2, w),
    silhouette: ring(w / 2),
    deeper: [],
    lines: [{ d: ring(w * 0.36) }],
    from: 'below the rim',
  }
}

function sock(w: number, h: number): GarmentShape {
  const half = w / 2
  const foot = h * 0.62
  return {
    box: box(-half, 0, half + foot * 0.75, h + w * 0.35),
    silhouette: path(
      ...['M', -half, 0, 'H', half, 'V', h * 0.62, 'Q', half, h * 0.7, half + foot * 0.4, h * 0.82],
      ...[
        'Q',
        half + foot * 0.78,
        h * 0.96,
        half + foot * 0.66,
        h + w * 0.2,
        'Q',
        half + foot * 0.5,
        h + w * 0.36,
      ],
      ...[half, h + w * 0.18, 'Q', -half, h + 10, -half, h * 0.7, 'Z'],
    ),
    deeper: [],
    lines: [
      { d: path('M', -half, 40, 'H', half) },
      { d: path('M', -half, h * 0.68, 'Q', 0, h * 0.7, half * 0.2, h * 1.05), stitched: true },
    ],
    from: 'below the upper edge',
  }
}

/** Where a print stands: its upper left corner, mm. The offset runs toward the wearer's left. */
export function placeOf(
  print: { widthMm: number; dropMm: number; offsetMm?: number },
  side: 'front' | 'back',
): { x: number; y: number } {
  const offset = (print.offsetMm ?? 0) * (side === 'front' ? 1 : -1)
  return { x: n(offset - print.widthMm / 2), y: n(print.dropMm) }
}
