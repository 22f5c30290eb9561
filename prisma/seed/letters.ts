/**
 * A small single-stroke alphabet of our own, on a grid 4 wide and 6 high (y down), so that the demo's artwork carries words
 * without any font on the machine. Each letter is a list of SVG path pieces.
 */
const STROKES: Record<string, string> = {
  A: 'M0 6 L2 0 L4 6 M0.8 4 H3.2',
  B: 'M0 0 V6 H2.4 A1.6 1.6 0 0 0 2.4 2.8 H0 M2.2 2.8 A1.4 1.4 0 0 0 2.2 0 H0',
  C: 'M4 1.2 A2.4 2.6 0 1 0 4 4.8',
  D: 'M0 0 V6 H1.6 A2.4 3 0 0 0 1.6 0 Z',
  E: 'M3.6 0 H0 V6 H3.6 M0 3 H3',
  F: 'M3.6 0 H0 V6 M0 3 H3',
  G: 'M4 1.2 A2.4 2.6 0 1 0 4 4.8 V3.4 H2.4',
  H: 'M0 0 V6 M4 0 V6 M0 3 H4',
  I: 'M2 0 V6',
  J: 'M3.4 0 V4.4 A1.7 1.6 0 0 1 0 4.4',
  K: 'M0 0 V6 M4 0 L0 3.6 M1.5 2.4 L4 6',
  L: 'M0 0 V6 H3.6',
  M: 'M0 6 V0 L2 3.4 L4 0 V6',
  N: 'M0 6 V0 L4 6 V0',
  O: 'M2 0 A2 3 0 0 0 2 6 A2 3 0 0 0 2 0 Z',
  P: 'M0 6 V0 H2.3 A1.7 1.7 0 0 1 2.3 3.4 H0',
  Q: 'M2 0 A2 3 0 0 0 2 6 A2 3 0 0 0 2 0 Z M2.6 4.4 L4 6.2',
  R: 'M0 6 V0 H2.3 A1.7 1.7 0 0 1 2.3 3.4 H0 M2 3.4 L4 6',
  S: 'M3.8 1 C3.2 -0.4 0.2 -0.4 0.2 1.5 C0.2 3.4 3.8 2.6 3.8 4.5 C3.8 6.4 0.8 6.4 0.1 5',
  T: 'M0 0 H4 M2 0 V6',
  U: 'M0 0 V4 A2 2 0 0 0 4 4 V0',
  V: 'M0 0 L2 6 L4 0',
  W: 'M0 0 L1 6 L2 2 L3 6 L4 0',
  X: 'M0 0 L4 6 M4 0 L0 6',
  Y: 'M0 0 L2 3 L4 0 M2 3 V6',
  Z: 'M0 0 H4 L0 6 H4',
  '0': 'M2 0 A2 3 0 0 0 2 6 A2 3 0 0 0 2 0 Z',
  '1': 'M0.8 1.2 L2.2 0 V6',
  '2': 'M0.2 1.4 A1.9 1.7 0 1 1 3.5 2.6 L0 6 H4',
  '6': 'M3.4 0.3 C1 0.6 0 3 0 4.2 A2 1.9 0 1 0 2 2.3 C1 2.3 0.2 3 0 4',
  '&': 'M4 6 L0.9 2.2 A1.4 1.3 0 1 1 3 1.6 C2.6 2.8 0 3 0 4.6 C0 6.6 3 6.6 3.8 3.6',
  '.': 'M1.9 5.9 H2.1',
  ' ': '',
}

/** One line of words as an SVG group, centred at x, its top at y, letters `height` high in units of the drawing. */
export function words(
  text: string,
  x: number,
  y: number,
  height: number,
  colour: string,
  weight = 0.9,
): string {
  const scale = height / 6
  const advance = 5.4
  const width = (text.length * advance - 1.4) * scale
  const letters = [...text.toUpperCase()].map((letter, i) => {
    const stroke = STROKES[letter]
    if (stroke === undefined) throw new RangeError(`The demo's alphabet has no “${letter}”.`)
    return stroke ? `<path transform="translate(${i * advance} 0)" d="${stroke}"/>` : ''
  })
  return `<g transform="translate(${x - width / 2} ${y}) scale(${scale})" fill="none" stroke="${colour}" stroke-width="${weight}" stroke-linecap="round" stroke-linejoin="round">${letters.join('')}</g>`
}
