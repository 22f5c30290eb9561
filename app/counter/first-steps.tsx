import Link from 'next/link'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { FIRST_STEPS, type FirstStep } from '@/lib/orders/first-steps/store'
import styles from './counter.module.css'

const WORDS: Record<FirstStep, { href: string; title: string; note: string }> = {
  rates: {
    href: '/office/settings',
    title: 'Rates, margin and tax',
    note: 'What stands there are starting values, and no tax: every price comes out of them.',
  },
  machines: {
    href: '/office/machines',
    title: 'Your machines',
    note: 'One usual machine of each kind is written down. Set what yours cost; what you do not have is put “Out of use”, and its method is offered no more.',
  },
  blanks: {
    href: '/stockroom/items',
    title: 'What you buy, from whom and at what price',
    note: 'Usual blanks and supplies stand there with example prices and suppliers. Put in your own, one by one or from a file.',
  },
  shelves: {
    href: '/stockroom/counts',
    title: 'What lies on your shelves',
    note: 'The book says nothing is there. One count puts it right.',
  },
  address: {
    href: '/office/shop',
    title: 'The address that customers reach, and your mail',
    note: 'Without them an offer goes out as a PDF.',
  },
  people: {
    href: '/office/sign-ins',
    title: 'Who works with you',
    note: 'Everybody signs in with a name of their own. A shop of one skips this.',
  },
}

/** What the owner of a new shop puts right before prices and plans can be believed. */
export function FirstSteps({ done }: { done: Record<FirstStep, boolean> }) {
  return (
    <Section
      title="Before your first offer"
      aside={`${FIRST_STEPS.filter(s => done[s]).length} of ${FIRST_STEPS.length} done`}
    >
      <p>
        An enquiry can be written down at once. Its price and its day are only as good as what the shop knows
        of itself:
      </p>
      <ol className={styles.first}>
        {FIRST_STEPS.map(step => (
          <li key={step}>
            <div>
              <Link href={WORDS[step].href}>{WORDS[step].title}</Link>
              <p>{WORDS[step].note}</p>
            </div>
            {done[step] && <StateMark state="done">changed</StateMark>}
          </li>
        ))}
      </ol>
    </Section>
  )
}
