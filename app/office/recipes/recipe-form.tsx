'use client'
import { type ReactNode, useState } from 'react'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import type { FormAnswer } from '@/app/parts/form-context'
import styles from '../office.module.css'
import type { RecipeAnswer } from './actions'

/**
 * The form around the values of a recipe. Where somebody saved meanwhile it shows in what the two differ, and what was typed stays.
 * @param version the one that is edited
 */
export function RecipeForm({
  action,
  version,
  children,
}: {
  action: (before: FormAnswer | null, form: FormData) => Promise<RecipeAnswer>
  version: number
  children: ReactNode
}) {
  const [conflict, setConflict] = useState<RecipeAnswer | null>(null)
  const send = async (before: FormAnswer | null, form: FormData): Promise<FormAnswer> => {
    const answer = await action(before, form)
    setConflict(answer?.differences ? answer : null)
    return answer
  }
  return (
    <ActionForm action={send} label="Values of the recipe" className={styles.form}>
      {conflict?.differences && (
        <DataTable
          caption="In what the two differ"
          rows={conflict.differences}
          rowKey={d => d.name}
          empty="What was saved and what you typed say the same."
          columns={[
            { key: 'name', head: 'Value', rowHead: true, wrap: true, cell: d => d.name },
            { key: 'saved', head: 'Saved meanwhile', cell: d => d.before },
            { key: 'typed', head: 'Typed by you', cell: d => d.after },
          ]}
        />
      )}
      <input type="hidden" name="version" value={conflict?.version ?? version} />
      {children}
    </ActionForm>
  )
}
