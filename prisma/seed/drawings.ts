import { words } from './letters'

/** One drawing of the demo: an SVG body in a box of `width` × `height` millimetres on a clear ground. */
export type Drawing = {
  name: string
  width: number
  height: number
  /** Resolution at which the customer saved it. */
  ppi: number
  /** A ground of its own, where the customer left one. */
  ground?: string
  body: string
}

const range = (n: number) => Array.from({ length: n }, (_, i) => i)
const polar = (cx: number, cy: number, r: number, degrees: number): [number, number] => {
  const a = (degrees * Math.PI) / 180
  return [cx + r * Math.cos(a), cy + r * Math.sin(a)]
}
const at = (p: [number, number]) => p.map(n => n.toFixed(2)).join(' ')
const wave = (x: number, y: number, length: number, crest: number, count: number) => {
  const step = length / count
  return `M${x} ${y} ${range(count)
    .map(() => `q${(step / 4).toFixed(2)} ${-crest} ${(step / 2).toFixed(2)} 0 t${(step / 2).toFixed(2)} 0`)
    .join(' ')}`
}

const rowing: Drawing = {
  name: 'lowtide-oars.png',
  width: 280,
  height: 300,
  ppi: 300,
  body: `
    <g stroke-linecap="round">
      <g transform="rotate(38 140 120)"><path d="M140 10 V215" stroke="#f4f1de" stroke-width="7"/><path d="M128 14 h24 l-4 52 h-16z" fill="#ee6c4d"/></g>
      <g transform="rotate(-38 140 120)"><path d="M140 10 V215" stroke="#f4f1de" stroke-width="7"/><path d="M128 14 h24 l-4 52 h-16z" fill="#3d8b8b"/></g>
    </g>
    <g fill="none" stroke-linecap="round" stroke-width="8">
      <path d="${wave(30, 200, 220, 22, 4)}" stroke="#f4f1de"/>
      <path d="${wave(30, 222, 220, 22, 4)}" stroke="#3d8b8b"/>
    </g>
    ${words('LOWTIDE', 140, 246, 26, '#f4f1de', 1.1)}
    ${words('ROWING', 140, 280, 15, '#ee6c4d', 1)}`,
}

const sprig: Drawing = {
  name: 'fennel-rye-sprig.png',
  width: 90,
  height: 90,
  ppi: 300,
  body: `
    <g fill="none" stroke="#3f6b3a" stroke-width="2" stroke-linecap="round">
      <path d="M45 78 C45 55 45 40 45 14"/>
      ${range(6)
        .map(i => {
          const y = 62 - i * 8
          const r = 26 - i * 3
          return `<path d="M45 ${y} q${-r / 2} ${-4} ${-r} ${-14}"/><path d="M45 ${y} q${r / 2} ${-4} ${r} ${-14}"/>`
        })
        .join('')}
    </g>
    ${range(6)
      .flatMap(i =>
        [-1, 1].map(s => `<circle cx="${45 + s * (26 - i * 3)}" cy="${48 - i * 8}" r="3.1" fill="#d9a441"/>`),
      )
      .join('')}
    ${words('FENNEL & RYE', 45, 81, 7, '#3f6b3a', 1.1)}`,
}

const bridge: Drawing = {
  name: 'otter-bridge-leavers.png',
  width: 260,
  height: 240,
  ppi: 300,
  body: `
    <path d="M10 120 h240 v18 h-240z" fill="#c8553d"/>
    ${range(4)
      .map(i => `<path d="M${14 + i * 60} 138 v46 h10 a20 24 0 0 1 40 0 h2 v-46z" fill="#c8553d"/>`)
      .join('')}
    ${range(12)
      .map(i => `<rect x="${14 + i * 20}" y="104" width="10" height="16" fill="#5b3a29"/>`)
      .join('')}
    <circle cx="190" cy="58" r="38" fill="#f6efe0"/>
    <path d="M60 104 c4 -34 40 -40 52 -20 c10 -2 16 6 14 14 l-6 6z" fill="#5b3a29"/>
    <circle cx="108" cy="86" r="3" fill="#f6efe0"/>
    <path d="${wave(10, 196, 240, 14, 5)}" stroke="#2f7f8f" stroke-width="7" fill="none" stroke-linecap="round"/>
    ${words('OTTER BRIDGE', 130, 6, 16, '#2f7f8f', 1)}
    ${words('LEAVERS 2026', 130, 214, 20, '#5b3a29', 1)}`,
}

const folk: Drawing = {
  name: 'brackwater-folk-night.png',
  width: 300,
  height: 360,
  ppi: 300,
  body: `
    <defs>
      <radialGradient id="glow"><stop offset="0.45" stop-color="#ffe9a8"/><stop offset="0.7" stop-color="#f4a259" stop-opacity="0.75"/><stop offset="1" stop-color="#bc4b51" stop-opacity="0"/></radialGradient>
      <linearGradient id="hill" x2="0" y2="1"><stop stop-color="#5b8e7d"/><stop offset="1" stop-color="#8cb369"/></linearGradient>
    </defs>
    <circle cx="150" cy="130" r="128" fill="url(#glow)"/>
    <path d="M10 260 C70 190 110 210 150 238 C200 200 250 190 290 250 V300 H10z" fill="url(#hill)"/>
    <g transform="translate(150 170) rotate(-32)">
      <path d="M-4 -110 h8 v90 h-8z" fill="#5c2e12"/>
      <path d="M0 -34 c34 -6 38 30 20 40 c-6 6 -6 14 0 20 c24 14 16 56 -20 56 s-44 -42 -20 -56 c6 -6 6 -14 0 -20 c-18 -10 -14 -46 20 -40z" fill="#a5552a"/>
      <path d="M-3 -104 V64 M3 -104 V64" stroke="#f7ede2" stroke-width="1.4"/>
      <path d="M-14 28 h28" stroke="#3a1c0a" stroke-width="4"/>
    </g>
    ${range(14)
      .map(
        i =>
          `<circle cx="${(20 + ((i * 83) % 262)).toFixed(0)}" cy="${(16 + ((i * 47) % 110)).toFixed(0)}" r="${1.6 + (i % 3) * 0.8}" fill="#fff4d6"/>`,
      )
      .join('')}
    ${words('BRACKWATER', 150, 302, 24, '#f7ede2', 1.1)}
    ${words('FOLK NIGHT', 150, 334, 20, '#f4a259', 1.1)}`,
}

const corvid: Drawing = {
  name: 'corvid-couriers.png',
  width: 280,
  height: 280,
  ppi: 300,
  body: `
    <g fill="none" stroke="#f4f1ea" stroke-width="5"><circle cx="140" cy="120" r="100"/>${range(18)
      .map(i => `<path d="M140 120 L${at(polar(140, 120, 98, i * 20))}" stroke-width="1.6"/>`)
      .join('')}</g>
    <path d="M60 170 L120 70 L170 60 L232 92 L186 100 L176 150 L120 196 L96 176z" fill="#1f2933" stroke="#f4f1ea" stroke-width="3" stroke-linejoin="round"/>
    <path d="M120 70 L150 120 L96 176z" fill="#3e4c59"/><path d="M170 60 L176 150 L150 120z" fill="#52606d"/>
    <circle cx="178" cy="82" r="5" fill="#ffb703"/>
    ${words('CORVID', 140, 232, 28, '#f4f1ea', 1.2)}
    ${words('CYCLE COURIERS', 140, 267, 10, '#ffb703', 1.1)}`,
}

const pillar: Drawing = {
  name: 'pillar-climbing-holds.png',
  width: 240,
  height: 300,
  ppi: 300,
  body: `
    ${range(15)
      .map(i => {
        const x = 40 + (i % 4) * 52 + (Math.floor(i / 4) % 2) * 22
        const y = 34 + Math.floor(i / 4) * 58
        const colour = ['#e63946', '#ffb703', '#2a9d8f', '#457b9d', '#8338ec'][i % 5]
        const points = range(6)
          .map(k => at(polar(x, y, 20 + ((i * 7 + k * 5) % 9), k * 60 + i * 13)))
          .join(' L')
        return `<path d="M${points}z" fill="${colour}" stroke="${colour}" stroke-width="8" stroke-linejoin="round"/><circle cx="${x}" cy="${y}" r="4" fill="#fdf6e3"/>`
      })
      .join('')}
    ${words('PILLAR', 120, 262, 30, '#264653', 1.2)}`,
}

const wing = (side: number) => `
  <g transform="translate(125 0) scale(${side} 1)">
    <path d="M2 70 C30 10 110 10 116 52 C120 92 60 118 4 104z" fill="#e9c46a"/>
    <path d="M4 104 C50 110 92 130 78 168 C60 190 18 160 2 122z" fill="#e76f51"/>
    <circle cx="74" cy="60" r="17" fill="#264653"/><circle cx="74" cy="60" r="8" fill="#f4f1de"/>
    <circle cx="48" cy="138" r="10" fill="#f4f1de"/>
    <path d="M10 84 C50 60 80 66 104 50" stroke="#264653" stroke-width="2" fill="none"/>
    <path d="M4 66 C8 40 22 22 34 16" stroke="#f4f1de" stroke-width="2.4" fill="none" stroke-linecap="round"/>
  </g>`
const moth: Drawing = {
  name: 'moth-and-lantern.png',
  width: 250,
  height: 250,
  ppi: 300,
  body: `${wing(1)}${wing(-1)}<path d="M117 62 h16 l-2 92 l-6 14 l-6 -14z" fill="#264653"/>
    ${words('MOTH & LANTERN', 125, 208, 15, '#f4f1de', 1.1)}${words('BOOKS', 125, 230, 13, '#e9c46a', 1.1)}`,
}

const teasel: Drawing = {
  name: 'teasel-choir-line.png',
  width: 100,
  height: 120,
  ppi: 300,
  body: `
    <g stroke="#6a4c93" fill="none" stroke-linecap="round">
      ${range(48)
        .map(i => {
          const a = i * 7.5
          return `<path d="M${at(polar(50, 40, 16, a))} L${at(polar(50, 40, 34 + (i % 3) * 2, a))}" stroke-width="${i % 4 ? 0.6 : 0.22}"/>`
        })
        .join('')}
      <ellipse cx="50" cy="40" rx="13" ry="16" stroke-width="1.4"/><path d="M50 58 V104 M50 84 q-18 -2 -24 -16 M50 84 q18 -2 24 -16" stroke-width="1.8"/>
    </g>
    ${words('TEASEL CHOIR', 50, 108, 8, '#6a4c93', 1)}`,
}

const mug: Drawing = {
  name: 'saltbox-mug-wrap.png',
  width: 200,
  height: 85,
  ppi: 300,
  body: `
    ${range(5)
      .map(r =>
        range(12)
          .map(i => {
            const x = i * 18 + (r % 2) * 9
            const y = 12 + r * 16
            return `<path d="M${x - 8} ${y} a8 8 0 0 1 16 0 M${x - 5} ${y} a5 5 0 0 1 10 0" fill="none" stroke="${['#1d6f8a', '#e07a5f', '#81b29a'][(r + i) % 3]}" stroke-width="1.8"/>`
          })
          .join(''),
      )
      .join('')}
    <rect x="62" y="30" width="76" height="26" rx="4" fill="#ffffff"/>
    ${words('SALTBOX', 100, 37, 12, '#1d6f8a', 1.1)}`,
}

const snail: Drawing = {
  name: 'nettle-lane-snail.png',
  width: 180,
  height: 150,
  ppi: 300,
  body: `
    <path d="M20 118 C40 112 60 118 120 118 C150 118 152 96 152 70 C160 66 166 72 164 84 C164 120 150 134 120 134 H24 C12 134 10 122 20 118z" fill="#f28482"/>
    <path d="M156 70 L150 44 M162 72 L172 48" stroke="#f28482" stroke-width="5" stroke-linecap="round"/>
    <circle cx="150" cy="42" r="5" fill="#3d405b"/><circle cx="172" cy="46" r="5" fill="#3d405b"/>
    <circle cx="86" cy="70" r="50" fill="#84a59d"/>
    <path d="M86 70 m0 0 c10 0 14 12 4 18 c-16 8 -32 -6 -28 -24 c6 -22 36 -24 48 -2 c12 26 -8 50 -34 46" fill="none" stroke="#f6bd60" stroke-width="8" stroke-linecap="round"/>
    ${words('NETTLE LANE', 90, 138, 10, '#3d405b', 1.1)}`,
}

const sunrise: Drawing = {
  name: 'weir-sunrise-photo.png',
  width: 240,
  height: 180,
  ppi: 300,
  ground: '#fdf3e1',
  body: `
    <defs><linearGradient id="sky" x2="0" y2="1"><stop stop-color="#355070"/><stop offset="0.45" stop-color="#e56b6f"/><stop offset="0.75" stop-color="#eaac8b"/><stop offset="1" stop-color="#ffe8c2"/></linearGradient></defs>
    <rect width="240" height="180" fill="url(#sky)"/><circle cx="120" cy="112" r="26" fill="#fff3c4"/>
    <path d="M0 118 H240 V180 H0z" fill="#3d5a80"/>
    ${range(8)
      .map(
        i =>
          `<path d="${wave(0, 126 + i * 7, 240, 4 + (i % 2) * 2, 6 + i)}" stroke="#98c1d9" stroke-opacity="${0.85 - i * 0.08}" stroke-width="2" fill="none"/>`,
      )
      .join('')}`,
}

const tiny: Drawing = {
  name: 'ashdown-logo-from-website.png',
  width: 250,
  height: 250,
  ppi: 32,
  body: `<circle cx="125" cy="110" r="90" fill="#2b9348"/><path d="M125 40 L175 150 H75z" fill="#f8f9fa"/>${words('ASHDOWN', 125, 212, 28, '#2b9348', 1.2)}`,
}

const race: Drawing = {
  name: 'weir-ten-race.png',
  width: 280,
  height: 320,
  ppi: 300,
  body: `
    <path d="M140 10 l116 66 v124 l-116 66 l-116 -66 v-124z" fill="#ffffff"/>
    <path d="M140 24 l104 59 v110 l-104 59 l-104 -59 v-110z" fill="#005f73"/>
    <path d="M70 190 L112 96 L138 140 L164 84 L212 190z" fill="#ee9b00"/>
    <path d="${wave(44, 206, 192, 14, 4)}" stroke="#ffffff" stroke-width="7" fill="none" stroke-linecap="round"/>
    ${words('WEIR 10', 140, 276, 26, '#ffffff', 1.3)}${words('MILLRACE RUN', 140, 307, 11, '#ee9b00', 1.1)}`,
}

const market: Drawing = {
  name: 'lantern-market-block.png',
  width: 280,
  height: 330,
  ppi: 300,
  body: `
    <rect x="10" y="10" width="260" height="250" rx="14" fill="#d62828"/>
    ${range(3)
      .map(
        i =>
          `<g transform="translate(${70 + i * 70} ${70 + (i % 2) * 40})"><path d="M0 -40 V-24" stroke="#fcbf49" stroke-width="3"/><ellipse rx="26" ry="32" fill="#fcbf49"/><path d="M-26 0 H26 M-22 -16 H22 M-22 16 H22" stroke="#d62828" stroke-width="2.5"/></g>`,
      )
      .join('')}
    ${words('LANTERN', 140, 176, 30, '#eae2b7', 1.2)}${words('MARKET', 140, 218, 26, '#eae2b7', 1.2)}
    <path d="${wave(20, 292, 240, 18, 6)}" stroke="#d62828" stroke-width="9" fill="none" stroke-linecap="round"/>`,
}

/** The demo's artwork, all of it drawn here. */
export const DRAWINGS = {
  rowing,
  sprig,
  bridge,
  folk,
  corvid,
  pillar,
  moth,
  teasel,
  mug,
  snail,
  sunrise,
  tiny,
  race,
  market,
} satisfies Record<string, Drawing>

/** A drawing as a whole SVG at the pixels of its resolution. */
export function svgOf(drawing: Drawing): string {
  const px = (length: number) => Math.round((length / 25.4) * drawing.ppi)
  const ground = drawing.ground
    ? `<rect width="${drawing.width}" height="${drawing.height}" fill="${drawing.ground}"/>`
    : ''
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${px(drawing.width)}" height="${px(drawing.height)}" viewBox="0 0 ${drawing.width} ${drawing.height}">${ground}${drawing.body}</svg>`
}
