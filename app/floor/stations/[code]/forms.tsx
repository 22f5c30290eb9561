import { Choices } from '@/app/parts/choices'
import { Field } from '@/app/parts/field'
import { SubmitButton } from '@/app/parts/submit-button'
import { MISPRINT_REASONS, MISPRINT_WORDS } from '@/lib/floor/misprint'
import type { SizeCount } from '@/lib/planning/recipe-snapshot'
import { finish, misprint, pause, resume, start } from '../../actions'
import { CountField } from '../../count-field'
import { ReportForm } from '../../report-form'
import { large } from '../../text'
import styles from './station.module.css'

type Of = { stepId: string; formKey: string }

function Keys({ stepId, formKey }: Of) {
  return (
    <>
      <input type="hidden" name="stepId" value={stepId} />
      <input type="hidden" name="formKey" value={formKey} />
    </>
  )
}

export function StartForm({
  stationId,
  words,
  look,
  ...of
}: Of & { stationId: string; words: string; look: 'primary' | 'plain' }) {
  return (
    <ReportForm action={start} label={words}>
      <Keys {...of} />
      <input type="hidden" name="stationId" value={stationId} />
      <SubmitButton size="floor" wide look={look}>
        {words}
      </SubmitButton>
    </ReportForm>
  )
}

export function FinishForm({ open, counted, ...of }: Of & { open: number; counted: boolean }) {
  return (
    <ReportForm action={finish} label="Finish">
      <Keys {...of} />
      {counted ? (
        <CountField name="good" label="Good pieces" most={open} timer={of.stepId} />
      ) : (
        <input type="hidden" name="good" value={open} />
      )}
      <SubmitButton size="floor" wide>
        {counted ? 'Count and finish' : 'Done'}
      </SubmitButton>
      {counted && open > 1 && (
        <p className={styles.hint}>Fewer than {open} are handed on, and the step runs on with the rest.</p>
      )}
    </ReportForm>
  )
}

export function PauseForm(of: Of) {
  return (
    <details className={styles.drawer}>
      <summary>Pause</summary>
      <ReportForm action={pause} label="Pause">
        <Keys {...of} />
        <Field name="note" label="Why?" hint="Lunch, no ink, waiting for somebody …" />
        <SubmitButton look="plain" size="floor" wide>
          Pause
        </SubmitButton>
      </ReportForm>
    </details>
  )
}

export function ResumeForm(of: Of) {
  return (
    <ReportForm action={resume} label="Go on">
      <Keys {...of} />
      <SubmitButton size="floor">Go on</SubmitButton>
    </ReportForm>
  )
}

export function MisprintForm({ sizes, ...of }: Of & { sizes: readonly SizeCount[] }) {
  const colours = new Set(sizes.map(s => s.colour)).size
  return (
    <details className={styles.drawer}>
      <summary>Misprint</summary>
      <ReportForm action={misprint} label="Misprint">
        <Keys {...of} />
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
        <Field name="note" label="Note" required={false} />
        <SubmitButton look="danger" size="floor" wide>
          Spoiled: make it again
        </SubmitButton>
      </ReportForm>
    </details>
  )
}
