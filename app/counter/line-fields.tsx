'use client'
import { Button } from '@/app/parts/button'
import { DrawnGarment } from '@/app/parts/drawn-garment'
import { Row } from '@/app/parts/row'
import { SizeRunField } from '@/app/parts/size-run-field'
import type { MeasureSystem } from '@/lib/units/measure'
import { ChoosingField } from './choosing-field'
import styles from './counter.module.css'
import type { FormStyle } from './form-catalogue'
import { type FormPrint, PrintFields, printAt } from './print-fields'

/** A blank as the form holds it. `counts` is what was typed before, by size. */
export type FormLine = {
  key: number
  styleId: string
  colour: string
  counts: Record<string, number>
  prints: FormPrint[]
  /** Number of the next print. */
  next: number
}

export const emptyLine = (key: number): FormLine => ({
  key,
  styleId: '',
  colour: '',
  counts: {},
  prints: [],
  next: 0,
})

/** The same blank and prints in the next colour that no blank of the form has yet; null where it comes in no other. */
export function inAnotherColour(
  line: FormLine,
  all: readonly FormLine[],
  catalogue: readonly FormStyle[],
  key: number,
): FormLine | null {
  const taken = all.filter(l => l.styleId === line.styleId).map(l => l.colour)
  const colours = catalogue.find(s => s.id === line.styleId)?.colours ?? []
  const colour = colours.find(c => !taken.includes(c.name))
  return colour ? { ...line, key, colour: colour.name, counts: {} } : null
}

/** One blank with its sizes and prints, and beside them the garment as it will look. */
export function LineFields({
  line,
  catalogue,
  system,
  onChange,
  onAgain,
  onRemove,
}: {
  line: FormLine
  catalogue: readonly FormStyle[]
  system: MeasureSystem
  onChange: (line: FormLine) => void
  /** Adds the same in another colour, where there is one. */
  onAgain?: () => void
  onRemove?: () => void
}) {
  const name = `lines.${line.key}`
  const style = catalogue.find(s => s.id === line.styleId)
  const colour = style?.colours.find(c => c.name === line.colour)
  const choose = (id: string) => {
    const chosen = catalogue.find(s => s.id === id)
    const usual = chosen?.placements[0]
    const fits = (p: FormPrint) => chosen?.placements.some(place => place.id === p.placement)
    const kept = line.prints.filter(fits)
    onChange({
      ...line,
      styleId: id,
      colour: chosen?.colours.some(c => c.name === line.colour)
        ? line.colour
        : (chosen?.colours[0]?.name ?? ''),
      prints:
        kept.length || !usual
          ? kept
          : [{ ...printAt(line.next, usual, system), art: line.prints[0]?.art ?? null }],
      next: line.next + 1,
    })
  }
  const change = (print: FormPrint) =>
    onChange({ ...line, prints: line.prints.map(p => (p.key === print.key ? print : p)) })
  const free = style?.placements.find(place => !line.prints.some(p => p.placement === place.id))
  return (
    <div className={styles.blank}>
      <div className={styles.order}>
        <Row>
          <ChoosingField
            name={`${name}.style`}
            label="Blank"
            empty="choose a blank"
            value={line.styleId}
            options={catalogue.map(s => ({ value: s.id, label: s.name, group: s.group }))}
            hint={style?.fibres}
            onChange={e => choose(e.currentTarget.value)}
          />
          {style && (
            <ChoosingField
              key={line.styleId}
              name={`${name}.colour`}
              label="Colour"
              value={line.colour}
              options={style.colours.map(c => ({ value: c.name, label: c.name }))}
              onChange={e => onChange({ ...line, colour: e.currentTarget.value })}
            />
          )}
        </Row>
        {colour && (
          <SizeRunField
            // Another colour comes in other sizes, but what was typed for a size stays.
            key={line.styleId}
            name={`${name}.quantity`}
            sizes={colour.sizes.map(s => ({ ...s, quantity: line.counts[s.size] ?? null }))}
            hint="Type numbers, or a run into any box: S 4, M 8, L 8, 2XL 4"
          />
        )}
        {style &&
          line.prints.map(print => (
            <PrintFields
              key={print.key}
              line={name}
              print={print}
              style={style}
              system={system}
              onChange={change}
              {...(line.prints.length > 1
                ? {
                    onRemove: () =>
                      onChange({ ...line, prints: line.prints.filter(p => p.key !== print.key) }),
                  }
                : {})}
            />
          ))}
        {style && (
          <Row gap="small">
            {free && (
              <Button
                size="small"
                onClick={() =>
                  onChange({
                    ...line,
                    prints: [...line.prints, printAt(line.next, free, system)],
                    next: line.next + 1,
                  })
                }
              >
                Another print on it
              </Button>
            )}
            {onAgain && (
              <Button size="small" onClick={onAgain}>
                The same in another colour
              </Button>
            )}
            {onRemove && (
              <Button look="quiet" size="small" onClick={onRemove}>
                Take this blank off
              </Button>
            )}
          </Row>
        )}
      </div>
      {style && <Drawn line={line} style={style} hex={colour?.hex ?? '#ffffff'} system={system} />}
    </div>
  )
}

function Drawn({
  line,
  style,
  hex,
  system,
}: {
  line: FormLine
  style: FormStyle
  hex: string
  system: MeasureSystem
}) {
  const placed = line.prints.flatMap(print => {
    const place = style.placements.find(p => p.id === print.placement)
    return place ? [{ print, place }] : []
  })
  const sides = (['front', 'back'] as const).filter(
    side => side === 'front' || placed.some(p => p.place.side === 'back'),
  )
  return (
    <div className={styles.drawn}>
      {sides.map(side => (
        <DrawnGarment
          key={side}
          kind={style.kind}
          outline={style.outline}
          side={side}
          cloth={hex}
          system={system}
          width={320}
          about={`${line.colour} ${style.name}, size ${style.drawnSize}`}
          prints={placed
            .filter(p => (p.place.side === 'back') === (side === 'back'))
            .map(({ print, place }) => ({
              name: place.name,
              widthMm: (print.drawn ?? print).widthMm,
              heightMm: (print.drawn ?? print).heightMm,
              dropMm: print.dropMm,
              offsetMm: print.offsetMm,
              onSleeve: place.side === 'sleeve',
              ...(print.art ? { src: `/api/artwork/${print.art.id}/picture?size=480` } : {}),
            }))}
        />
      ))}
    </div>
  )
}
