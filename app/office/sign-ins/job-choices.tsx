import { Choices } from '@/app/parts/choices'
import { addable, type Job, RIGHT_WORDS, type Right } from '@/lib/server/rights'

/** What somebody may be in the shop, and what that opens. */
export const JOB_WORDS: Record<Job, string> = {
  owner: 'sees everything, wages and margins too',
  counter: 'customers, orders, offers, artwork, stock',
  press: 'the floor: today’s work, tickets, stock',
}

/** "press, may also change the plan" */
export const asWhat = ({ job, also }: { job: Job; also: readonly Right[] }): string =>
  also.length === 0 ? job : `${job}, may also ${also.map(right => RIGHT_WORDS[right]).join(', ')}`

/** What somebody signs in as, and what they may do beyond it: whoever presses and stands at the counter now and then. */
export function JobChoices({ value, also = [] }: { value?: Job; also?: readonly Right[] }) {
  return (
    <>
      <Choices
        name="role"
        label="Signs in as"
        {...(value && { value })}
        options={Object.entries(JOB_WORDS).map(([job, note]) => ({ value: job, label: job, note }))}
      />
      <Choices
        name="also"
        label="At the press, may also"
        hint="For whoever helps elsewhere too; who changes orders or buys sees prices as well. The counter and the owner may do all of it anyway, and wages and margins stay the owner’s."
        many
        values={also}
        options={addable('press').map(right => ({ value: right, label: RIGHT_WORDS[right] }))}
      />
    </>
  )
}
