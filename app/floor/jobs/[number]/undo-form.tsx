'use client'
import { Field } from '@/app/parts/field'
import { SubmitButton } from '@/app/parts/submit-button'
import { ReportForm } from '../../report-form'
import styles from './job.module.css'

/** Takes a wrong report back by a counter-report: both stay in the book. */
export function UndoForm({ stepId, reportId, name }: { stepId: string; reportId: string; name: string }) {
  return (
    <details className={styles.undo}>
      <summary aria-label={`Take back: ${name}`}>Take back</summary>
      <ReportForm kind="undo" stepId={stepId} words={`Taken back: ${name}`} label={`Take back: ${name}`}>
        <input type="hidden" name="reportId" value={reportId} />
        <Field name="why" label="What was wrong?" />
        <SubmitButton look="danger">Take it back</SubmitButton>
      </ReportForm>
    </details>
  )
}
