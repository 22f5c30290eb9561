'use client'
import { useEffect, useState } from 'react'
import { Choices } from '@/app/parts/choices'
import { Field, FieldError } from '@/app/parts/field'
import { useFieldError } from '@/app/parts/form-context'
import { SubmitButton } from '@/app/parts/submit-button'
import type { StandsHere } from '@/lib/floor/kept'
import { MISPRINT_REASONS, MISPRINT_WORDS } from '@/lib/floor/misprint'
import { FIRST_CHECK_WORDS, type FirstCheck } from '@/lib/floor/reports'
import type { SizeCount } from '@/lib/planning/recipe-snapshot'
import { CountField } from '../../count-field'
import { type Step as FormStep, useStep } from '../../desk'
import { ReportForm } from '../../report-form'
import { large, pieces } from '../../text'
import styles from './station.module.css'

export function StartForm({
  step,
  stationId,
  words,
  look,
  checks,
  ticket,
}: {
  step: FormStep
  stationId: string
  words: string
  look: 'primary' | 'plain'
  /** What is looked at before the first piece; none where the shop wants no check. */
  checks: readonly FirstCheck[]
  ticket: string
}) {
  return (
    <ReportForm
      kind="start"
      stepId={step.id}
      words={`${step.name}: start`}
      label={words}
      ticket={ticket}
      check={fields => {
        const missing = checks.filter(c => !fields.checks?.split(',').includes(c))
        return missing.length
          ? {
              ok: false,
              message: `Look first, and tick: ${missing.map(c => FIRST_CHECK_WORDS[c]).join('; ')}.`,
              field: 'checks',
            }
          : null
      }}
    >
      <input type="hidden" name="stationId" value={stationId} />
      {checks.length > 0 && (
        <Choices
          name="checks"
          label="Before the first piece"
          many
          required
          options={checks.map(c => ({ value: c, label: large(FIRST_CHECK_WORDS[c]) }))}
        />
      )}
      <SubmitButton size="floor" wide look={look}>
        {words}
      </SubmitButton>
    </ReportForm>
  )
}

export function FinishForm({ step, counted }: { step: FormStep; counted: boolean }) {
  const { open, left } = useStep(step)
  const [good, setGood] = useState<number | null>(null)
  // What was counted may be reported: then all that is left stands there again.
  useEffect(() => setGood(open), [open])
  const part = good !== null && good > 0 && good < open
  return (
    <ReportForm
      kind="finish"
      stepId={step.id}
      words={f => `${step.name}: ${pieces(Number(f.good) || 0)} good`}
      label="Finish"
    >
      <input type="hidden" name="seen" value={step.pieces - open} />
      {counted ? (
        <GoodField key={open} open={open} left={left} timer={step.id} onCount={setGood} />
      ) : (
        <input type="hidden" name="good" value={open} />
      )}
      <SubmitButton size="floor" wide>
        {!counted ? 'Done' : part ? `Hand on ${good}, go on` : 'Count and finish'}
      </SubmitButton>
      {counted && open > 1 && (
        <p className={styles.hint}>
          {part
            ? `The next step can begin with ${good === 1 ? 'it' : 'them'}; ${open - good} are still to do here.`
            : `Fewer than ${open} are handed on, and the step runs on with the rest.`}
        </p>
      )}
    </ReportForm>
  )
}

/** Good pieces: all in one figure, or size by size; each follows the other. */
function GoodField({
  open,
  left,
  timer,
  onCount,
}: {
  open: number
  left: StandsHere['left']
  timer: string
  onCount: (good: number) => void
}) {
  const several = left.length > 1 && left.reduce((n, s) => n + s.quantity, 0) === open
  const [bySize, setBySize] = useState<Record<string, number> | null>(null)
  const sumOf = (sizes: Record<string, number>) => Object.values(sizes).reduce((a, b) => a + b, 0)
  const sum = bySize && sumOf(bySize)
  const count = (sizes: Record<string, number> | null) => {
    setBySize(sizes)
    onCount(sizes ? sumOf(sizes) : open)
  }
  return (
    <>
      {bySize ? (
        <fieldset className={styles.sizes}>
          <legend>
            Good pieces by size: {sum} <span>of {open}</span>
          </legend>
          <input type="hidden" name="good" value={sum ?? 0} />
          {left.map(s => (
            <CountField
              key={s.itemId}
              name={`size.${s.itemId}`}
              label={s.size}
              most={s.quantity}
              onCount={n => count({ ...bySize, [s.itemId]: n })}
            />
          ))}
          <GoodError />
        </fieldset>
      ) : (
        <CountField name="good" label="Good pieces" most={open} timer={timer} onCount={onCount} />
      )}
      {several && (
        <button
          type="button"
          className={styles.more}
          aria-expanded={bySize !== null}
          onClick={() => count(bySize ? null : Object.fromEntries(left.map(s => [s.itemId, s.quantity])))}
        >
          {bySize ? 'One figure for all sizes' : 'Count by size'}
        </button>
      )}
    </>
  )
}

function GoodError() {
  return <FieldError id="good-error" error={useFieldError('good')} />
}

const PAUSES = ['break', 'waiting for blanks', 'waiting for ink or film', 'machine', 'something urgent']

/** Each usual reason is one touch; another one is typed. */
export function PauseForm({ step }: { step: FormStep }) {
  return (
    <details className={styles.drawer}>
      <summary>Pause</summary>
      <div className={styles.reasons}>
        {PAUSES.map(p => (
          <ReportForm
            key={p}
            kind="pause"
            stepId={step.id}
            words={`${step.name}: pause, ${p}`}
            label={`Pause, ${p}`}
          >
            <input type="hidden" name="note" value={p} />
            <SubmitButton look="plain" size="floor" wide>
              {large(p)}
            </SubmitButton>
          </ReportForm>
        ))}
      </div>
      <ReportForm kind="pause" stepId={step.id} words={`${step.name}: pause`} label="Pause">
        <Field name="note" label="Another reason" />
        <SubmitButton look="plain" size="floor" wide>
          Pause
        </SubmitButton>
      </ReportForm>
    </details>
  )
}

export function ResumeForm({ step }: { step: FormStep }) {
  return (
    <ReportForm kind="resume" stepId={step.id} words={`${step.name}: go on`} label="Go on">
      <SubmitButton size="floor" wide>
        Go on
      </SubmitButton>
    </ReportForm>
  )
}

export function MisprintForm({ step, sizes }: { step: FormStep; sizes: readonly SizeCount[] }) {
  const colours = new Set(sizes.map(s => s.colour)).size
  const { open } = useStep(step)
  return (
    <details className={styles.drawer}>
      <summary>Misprint</summary>
      <ReportForm
        kind="misprint"
        stepId={step.id}
        words={f => `${step.name}: ${f.quantity} spoiled`}
        label="Misprint"
      >
        <input type="hidden" name="seen" value={step.pieces - open} />
        <Choices
          name="itemId"
          label="Which size?"
          across
          value={sizes.length === 1 ? sizes[0]?.itemId : undefined}
          options={sizes.map(s => ({
            value: s.itemId,
            label: colours > 1 ? `${s.size} ${s.colour}` : s.size,
          }))}
        />
        <CountField
          name="quantity"
          label="Spoiled"
          least={1}
          value={1}
          most={sizes.reduce((sum, s) => sum + s.quantity, 0)}
        />
        <Choices
          name="reason"
          label="What went wrong?"
          options={MISPRINT_REASONS.map(r => ({ value: r, label: large(MISPRINT_WORDS[r]) }))}
        />
        <Field
          name="photo"
          label="Photo"
          type="file"
          accept="image/*"
          capture="environment"
          required={false}
          hint="Made smaller here before it is sent."
        />
        <Field name="note" label="Note" required={false} />
        <SubmitButton look="danger" size="floor" wide>
          Spoiled: make it again
        </SubmitButton>
      </ReportForm>
    </details>
  )
}
