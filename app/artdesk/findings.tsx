import { Sign } from '@/app/parts/sign'
import type { Finding } from '@/lib/artwork/findings'
import type { PixelBox } from '@/lib/artwork/raster'
import styles from './artdesk.module.css'

const SIGN = { stop: 'stop', warn: 'caution', note: 'info' } as const
const SAID = { stop: 'Stop', warn: 'Look', note: 'Good to know' } as const
/** Places of one finding that are drawn: more would hide the art. */
const MOST_PLACES = 8

/** A picture that findings point into, with its canvas in pixels. */
export type Pictured = { src: string; name: string; cloth: string; widthPx: number; heightPx: number }

/** What the pixels say, worst first, each one sentence; those with a place are numbered and drawn on the picture. */
export function Findings({ findings, picture }: { findings: readonly Finding[]; picture: Pictured }) {
  if (findings.length === 0) return <p>Nothing stands in its way.</p>
  const placed = findings.filter(f => f.where?.length)
  return (
    <div className={styles.said}>
      <ul className={styles.findings}>
        {findings.map(f => (
          <li key={f.code} className={styles.finding}>
            <span className={styles[f.severity]}>
              <Sign name={SIGN[f.severity]} />
            </span>
            <span>
              <strong className={styles[f.severity]}>{SAID[f.severity]}:</strong> {f.message}
              {placed.includes(f) && (
                <>
                  {' '}
                  <span className={styles.number}>
                    <span className="aloud">On the picture: </span>
                    {placed.indexOf(f) + 1}
                  </span>
                </>
              )}
            </span>
          </li>
        ))}
      </ul>
      {placed.length > 0 && <Places findings={placed} picture={picture} />}
    </div>
  )
}

/** The art on its cloth with a frame around each place, numbered as its finding is. */
function Places({ findings, picture }: { findings: readonly Finding[]; picture: Pictured }) {
  const { src, name, cloth, widthPx: width, heightPx: height } = picture
  const least = Math.max(width, height) * 0.025
  const letter = Math.max(width, height) * 0.045
  return (
    <div className={styles.places} style={{ background: cloth, aspectRatio: `${width} / ${height}` }}>
      {/* biome-ignore lint/performance/noImgElement: the picture is made to size by our own route and kept by the browser */}
      <img src={src} alt="" />
      <svg
        viewBox={`0 0 ${width} ${height}`}
        role="img"
        aria-label={`${name} with the numbered places: ${findings.map((f, i) => `${i + 1}, ${f.where?.length}`).join('; ')}`}
      >
        {findings.flatMap((f, i) =>
          (f.where ?? []).slice(0, MOST_PLACES).map(place => {
            const b = roomy(place, least)
            const at = { x: Math.max(0, b.x - letter * 0.4), y: Math.max(0, b.y - letter * 0.9) }
            return (
              <g key={`${f.code} ${place.x} ${place.y}`}>
                <rect {...b} className={styles.halo} />
                <rect {...b} className={styles.frame} />
                <rect {...at} width={letter} height={letter} className={styles.flag} />
                <text
                  x={at.x + letter / 2}
                  y={at.y + letter * 0.77}
                  fontSize={letter * 0.78}
                  className={styles.figure}
                >
                  {i + 1}
                </text>
              </g>
            )
          }),
        )}
      </svg>
    </div>
  )
}

/** A box that is large enough to be seen, around the same middle. */
function roomy(b: PixelBox, least: number): PixelBox {
  const width = Math.max(b.width, least)
  const height = Math.max(b.height, least)
  return { x: b.x - (width - b.width) / 2, y: b.y - (height - b.height) / 2, width, height }
}
