'use client'
import { useRef } from 'react'
import { Button } from '@/app/parts/button'
import { FileDrop } from '@/app/parts/file-drop'
import { MeasureField } from '@/app/parts/measure-field'
import { Row } from '@/app/parts/row'
import { formatLength, type MeasureSystem, mm, parseLength, toInches } from '@/lib/units/measure'
import { ChoosingField } from './choosing-field'
import styles from './counter.module.css'
import type { FormPlacement } from './form-catalogue'

/** The largest artwork that is taken in, bytes. */
const MOST_BYTES = 50 * 1024 * 1024

/** A print as the form holds it. Lengths in mm; `art` is a picture that is in already. */
export type FormPrint = {
  key: number
  placement: string
  widthMm: number
  heightMm: number
  dropMm: number
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
    art: null,
  }
}

/** Height over width of a picture; null where it is not known. */
const ratioOf = (art: FormPrint['art']): number | null =>
  art?.widthPx && art.heightPx ? art.heightPx / art.widthPx : null

const typedLength = (length: number, system: MeasureSystem): string =>
  system === 'metric' ? String(Number(length.toFixed(1))) : String(Number(toInches(mm(length)).toFixed(3)))

/**
 * One print: where it sits, its size, its picture. With a picture the other side follows its shape, so that nothing is stretched.
 * @param name path of its fields: "lines.0.prints.1"
 */
export function PrintFields({
  name,
  print,
  placements,
  system,
  onChange,
  onRemove,
}: {
  name: string
  print: FormPrint
  placements: readonly FormPlacement[]
  system: MeasureSystem
  onChange: (print: FormPrint) => void
  onRemove?: () => void
}) {
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
  const sized = () => {
    const next = {
      ...print,
      widthMm: read('width', print.widthMm),
      heightMm: read('height', print.heightMm),
      dropMm: read('drop', print.dropMm),
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
      </Row>
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
