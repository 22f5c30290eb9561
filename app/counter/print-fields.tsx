'use client'
import dynamic from 'next/dynamic'
import { useRef } from 'react'
import { Button } from '@/app/parts/button'
import { Field } from '@/app/parts/field'
import { FileDrop } from '@/app/parts/file-drop'
import { MeasureField } from '@/app/parts/measure-field'
import { Row } from '@/app/parts/row'
import { formatLength, type MeasureSystem, mm, parseLength, parseOffset, toInches } from '@/lib/units/measure'
import { ChoosingField } from './choosing-field'
import styles from './counter.module.css'
import type { FormPlacement, FormStyle } from './form-catalogue'
import type { DrawnAs } from './placing'

// Nothing stands in the way of an empty form: it comes when the page is there.
const Placing = dynamic(() => import('./placing').then(m => m.Placing), { ssr: false })

/** The largest artwork that is taken in, bytes. */
const MOST_BYTES = 50 * 1024 * 1024

/** A print as the form holds it. Lengths in mm; `art` is a picture that is in already. */
export type FormPrint = {
  key: number
  placement: string
  widthMm: number
  heightMm: number
  dropMm: number
  /** Toward the wearer's left. */
  offsetMm: number
  /** Other widths by garment size, as written. */
  bySize: string
  /** On the drawn garment, where that is another size; missing until it was looked up. */
  drawn?: DrawnAs
  art: { id: string; name: string; widthPx?: number; heightPx?: number } | null
}

/** A new print at a placement, in its usual size: in whole millimetres where the shop measures in them. */
export function printAt(key: number, p: FormPlacement, system: MeasureSystem): FormPrint {
  const even = (length: number) => (system === 'metric' ? Math.round(length) : length)
  return {
    key,
    placement: p.id,
    widthMm: Math.min(even(p.widthMm), p.maxWidthMm),
    heightMm: Math.min(even(p.widthMm), p.maxHeightMm),
    dropMm: even(p.dropMm),
    offsetMm: p.offsetMm,
    bySize: '',
    art: null,
  }
}

/** Height over width of a picture; null where it is not known. */
const ratioOf = (art: FormPrint['art']): number | null =>
  art?.widthPx && art.heightPx ? art.heightPx / art.widthPx : null

/** As it is typed: "100 left", "40 right", "0". */
const typedOffset = (offset: number, system: MeasureSystem): string =>
  offset === 0 ? '0' : `${typedLength(Math.abs(offset), system)} ${offset > 0 ? 'left' : 'right'}`

const typedLength = (length: number, system: MeasureSystem): string =>
  system === 'metric' ? String(Number(length.toFixed(1))) : String(Number(toInches(mm(length)).toFixed(3)))

/**
 * One print: where it sits, its size, its picture. With a picture the other side follows its shape, so that nothing is stretched.
 * @param line path of the line's fields: "lines.0"
 */
export function PrintFields({
  line,
  print,
  style,
  system,
  onChange,
  onRemove,
}: {
  line: string
  print: FormPrint
  style: FormStyle
  system: MeasureSystem
  onChange: (print: FormPrint) => void
  onRemove?: () => void
}) {
  const { placements } = style
  const name = `${line}.prints.${print.key}`
  const box = useRef<HTMLDivElement>(null)
  const input = (field: string) => box.current?.querySelector<HTMLInputElement>(`[name="${name}.${field}"]`)
  const write = (field: string, length: number) => {
    const at = input(field)
    if (at) at.value = typedLength(length, system)
  }
  const read = (field: string, or: number): number => {
    const length = parseLength(input(field)?.value ?? '', system)
    return length.ok && length.value > 0 ? length.value : or
  }
  const guide = placements.find(p => p.id === print.placement) ?? placements[0]
  const ratio = ratioOf(print.art)

  /** The shape of a picture laid into the place: as wide as it is now, and no taller than the place allows. */
  const laidInto = (from: FormPrint, place: FormPlacement): FormPrint => {
    const shape = ratioOf(from.art)
    if (!shape) return from
    const width = Math.min(from.widthMm, place.maxHeightMm / shape)
    return { ...from, widthMm: width, heightMm: width * shape }
  }
  const offsetTyped = (): number => {
    const offset = parseOffset(input('offset')?.value ?? '', system)
    return offset.ok ? offset.value : print.offsetMm
  }
  // Around a sleeve, a mug or a plate a print is turned, not moved aside.
  const beside = guide?.side === 'front' || guide?.side === 'back'
  const sized = () => {
    const next = {
      ...print,
      widthMm: read('width', print.widthMm),
      heightMm: read('height', print.heightMm),
      dropMm: read('drop', print.dropMm),
      offsetMm: beside ? offsetTyped() : print.offsetMm,
      bySize: input('bySize')?.value ?? print.bySize,
    }
    if (ratio && next.widthMm !== print.widthMm) {
      next.heightMm = next.widthMm * ratio
      write('height', next.heightMm)
    } else if (ratio && next.heightMm !== print.heightMm) {
      next.widthMm = next.heightMm / ratio
      write('width', next.widthMm)
    }
    onChange(next)
  }
  const moved = (id: string) => {
    const place = placements.find(p => p.id === id)
    if (place) onChange(laidInto({ ...printAt(print.key, place, system), art: print.art }, place))
  }
  // Another place has other usual sizes: its fields start anew.
  const again = `${print.key}-${print.placement}-${guide?.widthMm ?? 0}`
  return (
    <div className={styles.print} ref={box}>
      <Row>
        <ChoosingField
          name={`${name}.placement`}
          label="Print at"
          value={print.placement}
          options={placements.map(p => ({ value: p.id, label: p.name }))}
          onChange={e => moved(e.currentTarget.value)}
        />
        <MeasureField
          key={`w${again}`}
          name={`${name}.width`}
          label="Width"
          size={10}
          system={system}
          value={print.widthMm}
          hint={
            guide && print.widthMm > guide.maxWidthMm + 0.05
              ? `over the usual limit here, ${formatLength(mm(guide.maxWidthMm), system)}`
              : undefined
          }
          onInput={sized}
        />
        <MeasureField
          key={`h${again}`}
          name={`${name}.height`}
          label="Height"
          size={10}
          system={system}
          value={print.heightMm}
          onInput={sized}
        />
        <MeasureField
          key={`d${again}`}
          name={`${name}.drop`}
          label="Drop"
          size={10}
          system={system}
          value={print.dropMm}
          hint={guide?.measuredFrom}
          onInput={sized}
        />
        {beside && (
          <Field
            key={`o${again}`}
            name={`${name}.offset`}
            label="Beside the middle"
            size={10}
            unit={system === 'metric' ? 'mm' : 'in'}
            value={typedOffset(print.offsetMm, system)}
            hint="of the art, as worn: 40 left, 40 right"
            onInput={sized}
          />
        )}
        <Field
          key={`s${again}`}
          name={`${name}.bySize`}
          label="On other garment sizes"
          hint="how wide there, where it is not the same"
          required={false}
          value={print.bySize}
          placeholder={system === 'metric' ? 'S–M 200, L–3XL 260' : 'S–M 8, L–3XL 10'}
          maxLength={400}
          onInput={sized}
        />
      </Row>
      <Placing
        line={line}
        print={name}
        style={style.id}
        drawn={style.drawnSize}
        onDrawn={drawn => {
          if (
            drawn.widthMm !== (print.drawn ?? print).widthMm ||
            drawn.heightMm !== (print.drawn ?? print).heightMm
          )
            onChange({ ...print, drawn })
        }}
        onRules={rules => {
          const at = input('bySize')
          if (!at) return
          at.value = rules
          at.dispatchEvent(new Event('input', { bubbles: true }))
          at.focus()
        }}
      />
      <FileDrop
        name={`${name}.artwork`}
        label="Artwork"
        accept="image/png,image/jpeg,image/webp,image/tiff,image/svg+xml,application/pdf"
        maxBytes={MOST_BYTES}
        putTo="/api/artwork"
        then="stay"
        held={print.art?.id}
        heldName={print.art?.name}
        words="Drop the picture here, or choose it. PNG with transparency is best; up to 50 MB. It may also come later."
        onTaken={answer => {
          if (!answer.id || !guide) return
          const { id, name: fileName = 'artwork', widthPx, heightPx } = answer
          const next = laidInto({ ...print, art: { id, name: fileName, widthPx, heightPx } }, guide)
          write('width', next.widthMm)
          write('height', next.heightMm)
          onChange(next)
        }}
      />
      {onRemove && (
        <div>
          <Button look="quiet" size="small" onClick={onRemove}>
            Take this print off
          </Button>
        </div>
      )}
    </div>
  )
}
