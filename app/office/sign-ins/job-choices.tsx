import { Choices } from '@/app/parts/choices'
import type { Job } from '@/lib/server/rights'

/** What somebody may be in the shop, and what that opens. */
export const JOB_WORDS: Record<Job, string> = {
  owner: 'sees everything, wages and margins too',
  counter: 'customers, orders, offers, artwork, stock',
  press: 'the floor: today’s work, tickets, stock',
}

export function JobChoices({ value }: { value?: Job }) {
  return (
    <Choices
      name="role"
      label="Signs in as"
      {...(value && { value })}
      options={Object.entries(JOB_WORDS).map(([job, note]) => ({ value: job, label: job, note }))}
    />
  )
}
