'use client'
import { type FormEvent, useRef } from 'react'
import { Field } from '@/app/parts/field'
import { Row } from '@/app/parts/row'
import { beltSpeed, dryerDwell, heatedFromFeet } from '@/lib/shop/dryer'
import { type MeasureSystem, type Mm, mm } from '@/lib/units/measure'

/** What a unit of the form is in mm: belts are read in metres or feet. */
const UNIT = {
  metric: { name: 'm', mm: 1000 },
  imperial: { name: 'ft', mm: heatedFromFeet(1) as number },
} as const

const shown = (n: number) => Number(n.toPrecision(4)).toString()
const positive = (text: string): number | null => {
  const n = Number(text.replace(',', '.'))
  return n > 0 && Number.isFinite(n) ? n : null
}

/**
 * The belt of a dryer, worked both ways: the dwell gives the speed of the belt, and a speed gives the dwell.
 * @param dwell seconds that the recipe asks for
 * @param heated heated length of the shop's dryer, mm
 */
export function Belt({ dwell, heated, system }: { dwell: number; heated: Mm; system: MeasureSystem }) {
  const unit = UNIT[system]
  const box = useRef<HTMLDivElement>(null)
  // The fields keep themselves; what is typed in one works out another.
  const look = (e: FormEvent<HTMLInputElement>) => {
    const input = (name: string) => box.current?.querySelector<HTMLInputElement>(`[name="belt.${name}"]`)
    const [length, time, speed] = [input('length'), input('dwell'), input('speed')]
    if (!length || !time || !speed) return
    const [from, to] = e.currentTarget === speed ? [speed, time] : [time, speed]
    const along = positive(length.value)
    const given = positive(from.value)
    if (along === null || given === null) to.value = ''
    else if (to === time) to.value = shown(dryerDwell(mm(along * unit.mm), given * unit.mm))
    else to.value = shown(beltSpeed(mm(along * unit.mm), given) / unit.mm)
  }
  const field = (name: string, label: string, value: number, of: string, hint: string) => (
    <Field
      name={`belt.${name}`}
      label={label}
      value={shown(value)}
      unit={of}
      size={10}
      inputMode="decimal"
      hint={hint}
      onInput={look}
    />
  )
  return (
    <div ref={box}>
      <Row align="top">
        {field('length', 'Heated length', heated / unit.mm, unit.name, 'Of the belt, under the heat.')}
        {field('dwell', 'Under the heat', dwell, 's', 'heated length ÷ speed of the belt')}
        {field(
          'speed',
          'Speed of the belt',
          beltSpeed(heated, dwell) / unit.mm,
          `${unit.name}/min`,
          'heated length ÷ time under the heat',
        )}
      </Row>
    </div>
  )
}
