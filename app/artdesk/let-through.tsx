'use client'
import { useEffect, useId, useRef, useState } from 'react'
import type { Openings } from '@/lib/artwork/print-files'
import styles from './let-through.module.css'

const OPENING_SHAPES = [
  ['', 'no, they stay whole'],
  ['dots', 'dots'],
  ['lines', 'lines'],
] as const

type Figure = { name: string; before: string; after: string }
type Seen = { picture: string; figures: Figure[]; said: string }

const WAIT_MS = 120

/** One slider with its value beside it; arrows move it by one step, Page Up and Down by a tenth of the way. */
function Slider({
  name,
  label,
  hint,
  value,
  min = 0,
  max = 60,
  unit = '',
}: {
  name: string
  label: string
  hint: string
  value: number
  min?: number
  max?: number
  unit?: string
}) {
  const id = useId()
  const [at, setAt] = useState(value)
  return (
    <div className={styles.slider}>
      <label htmlFor={id}>{label}</label>
      <span className={styles.value} aria-hidden="true">
        {at}
        {unit}
      </span>
      <input
        id={id}
        type="range"
        name={name}
        min={min}
        max={max}
        step={1}
        value={at}
        onChange={e => setAt(Number(e.target.value))}
        aria-describedby={`${id}-hint`}
      />
      <span id={`${id}-hint`} className={styles.hint}>
        {hint}
      </span>
    </div>
  )
}

/**
 * Lets the cloth through the art: sliders, the art before and after on its cloth, and what that changes. Stands inside a form,
 * which keeps what is chosen; `fields` go with it.
 * @param fields cloth, widthMm, heightMm as text
 */
export function LetThrough({
  artwork,
  name,
  method,
  fields,
  tolerance,
  soft,
  outside,
  specks,
  openings,
  usual,
}: {
  artwork: string
  name: string
  method: string
  fields: { cloth: string; widthMm: string; heightMm: string }
  tolerance: number
  soft: number
  outside: boolean
  specks: 'keep' | 'clear'
  /** How solids are broken up; null: they stay whole. */
  openings: Openings | null
  /** What breaking up begins with. */
  usual: Openings
}) {
  const id = useId()
  const box = useRef<HTMLDivElement>(null)
  const ask = useRef<() => void>(() => {})
  const [shape, setShape] = useState<'' | Openings['shape']>(openings?.shape ?? '')
  const open = openings ?? usual
  const [seen, setSeen] = useState<Seen | null>(null)
  const [refused, setRefused] = useState('')

  useEffect(() => {
    let gone = false
    let busy = false
    let again = false
    let timer: ReturnType<typeof setTimeout> | undefined
    // One preview at a time, and always the newest after it: a slider moves faster than pictures are made.
    const look = async (): Promise<void> => {
      if (busy) {
        again = true
        return
      }
      busy = true
      const form = box.current?.closest('form')
      const query = new URLSearchParams({ method })
      for (const [key, value] of form ? new FormData(form) : [])
        if (typeof value === 'string' && !key.startsWith('$')) query.set(key, value)
      try {
        const answer = await (await fetch(`/api/artwork/${artwork}/knockout?${query}`)).json()
        if (gone) return
        setRefused(answer.ok ? '' : answer.message)
        if (answer.ok) setSeen(answer)
      } catch {
        if (!gone) setRefused('The shop’s computer did not answer: move the slider again.')
      }
      busy = false
      if (again && !gone) {
        again = false
        void look()
      }
    }
    ask.current = () => {
      clearTimeout(timer)
      timer = setTimeout(look, WAIT_MS)
    }
    void look()
    return () => {
      gone = true
      clearTimeout(timer)
    }
  }, [artwork, method])

  const cloth = { background: fields.cloth, aspectRatio: `${fields.widthMm} / ${fields.heightMm}` }
  return (
    <div ref={box} className={styles.desk} onChange={() => ask.current()}>
      {Object.entries(fields).map(([key, value]) => (
        <input key={key} type="hidden" name={key} value={value} />
      ))}
      <figure className={styles.side}>
        <div className={styles.cloth} style={cloth}>
          {/* biome-ignore lint/performance/noImgElement: made to size by our own route */}
          <img src={`/api/artwork/${artwork}/picture?size=1200`} alt={`${name} as it came`} />
        </div>
        <figcaption>As it came</figcaption>
      </figure>
      <figure className={styles.side}>
        <div className={styles.cloth} style={cloth}>
          {seen && (
            // biome-ignore lint/performance/noImgElement: made while the slider moves
            <img src={seen.picture} alt={`${name} with the cloth let through`} />
          )}
        </div>
        <figcaption>With the cloth let through</figcaption>
      </figure>
      <div className={`${styles.controls} ${styles.sliders}`}>
        <Slider
          name="tolerance"
          label="Tolerance"
          hint="How far from the cloth’s colour still counts as cloth (CIEDE2000)."
          value={tolerance}
        />
        <Slider name="soft" label="Soft edge" hint="Over how much more the ink fades in." value={soft} />
        <fieldset className={styles.specks}>
          <legend>Specks under half a millimetre</legend>
          <label>
            <input type="radio" name="specks" value="clear" defaultChecked={specks === 'clear'} /> clear them
          </label>
          <label>
            <input type="radio" name="specks" value="keep" defaultChecked={specks === 'keep'} /> keep them
          </label>
        </fieldset>
        <label>
          <input type="checkbox" name="outside" value="on" defaultChecked={outside} /> only from outside: eyes
          and the insides of letters stay printed
        </label>
        <fieldset className={styles.specks}>
          <legend>Break up large solids with small openings</legend>
          {OPENING_SHAPES.map(([value, words]) => (
            <label key={value}>
              <input
                type="radio"
                name="openings"
                value={value}
                checked={shape === value}
                onChange={() => setShape(value)}
              />{' '}
              {words}
            </label>
          ))}
        </fieldset>
        {shape && (
          <>
            <Slider
              name="openShare"
              label="Open share"
              hint="How much of the solid is opened."
              value={Math.round(100 * open.share)}
              min={2}
              max={60}
              unit="%"
            />
            <Slider
              name="openLpi"
              label="Openings to the inch"
              hint="Few are large and seen; many are fine."
              value={open.lpi}
              min={4}
              max={40}
            />
            <Slider
              name="openAngle"
              label="Angle"
              hint="Of the rows, from the horizontal."
              value={Math.round(open.angle)}
              max={180}
              unit="°"
            />
            <Slider
              name="openFromCm2"
              label="Least patch"
              hint="Smaller solids than this many cm² stay whole."
              value={open.fromCm2}
              max={200}
              unit=" cm²"
            />
          </>
        )}
      </div>
      <div className={styles.changes}>
        {seen && (
          <table aria-labelledby={id}>
            <caption id={id} className="aloud">
              What letting the cloth through changes
            </caption>
            <thead>
              <tr>
                <td />
                <th scope="col">as it came</th>
                <th scope="col">let through</th>
              </tr>
            </thead>
            <tbody>
              {seen.figures.map(f => (
                <tr key={f.name}>
                  <th scope="row">{f.name}</th>
                  <td>{f.before}</td>
                  <td className={styles.after}>{f.after}</td>
                </tr>
              ))}
            </tbody>
          </table>
        )}
        <p role="status" className={refused ? styles.refused : styles.hint}>
          {refused || (seen ? seen.said : 'Looking …')}
        </p>
      </div>
    </div>
  )
}
