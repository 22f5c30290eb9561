'use client'
import { useEffect, useId, useRef, useState } from 'react'
import styles from './let-through.module.css'

type Figure = { name: string; before: string; after: string }
type Seen = { picture: string; figures: Figure[]; said: string }

const WAIT_MS = 120

/** One slider with its value beside it; arrows move it by one, Page Up and Down by a tenth of the way. */
function Slider({ name, label, hint, value }: { name: string; label: string; hint: string; value: number }) {
  const id = useId()
  const [at, setAt] = useState(value)
  return (
    <div className={styles.slider}>
      <label htmlFor={id}>{label}</label>
      <span className={styles.value} aria-hidden="true">
        {at}
      </span>
      <input
        id={id}
        type="range"
        name={name}
        min={0}
        max={60}
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
}: {
  artwork: string
  name: string
  method: string
  fields: { cloth: string; widthMm: string; heightMm: string }
  tolerance: number
  soft: number
  outside: boolean
  specks: 'keep' | 'clear'
}) {
  const id = useId()
  const box = useRef<HTMLDivElement>(null)
  const ask = useRef<() => void>(() => {})
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
      <div className={styles.controls}>
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
