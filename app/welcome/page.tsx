import type { Metadata } from 'next'
import { redirect } from 'next/navigation'
import { ActionForm } from '@/app/parts/action-form'
import { Choices } from '@/app/parts/choices'
import { Field } from '@/app/parts/field'
import { RegistrationMark } from '@/app/parts/mark'
import { SelectField } from '@/app/parts/select-field'
import { SubmitButton } from '@/app/parts/submit-button'
import { hasOwnShop } from '@/lib/server/data-folder'
import { isDemo } from '@/lib/server/demo'
import { hasDatabase } from '@/lib/server/health'
import { SHORTEST_PASSWORD } from '@/lib/server/passwords'
import { openDemo, openOwnShop, setUpShop } from './actions'
import styles from './welcome.module.css'

export const metadata: Metadata = { title: 'Welcome' }
export const dynamic = 'force-dynamic'

export default function Welcome() {
  if (hasDatabase() && !isDemo()) redirect('/')
  return (
    <main className={styles.page}>
      <header className={styles.head}>
        <RegistrationMark size={44} />
        <div>
          <h1>Shirtwright</h1>
          <p>From a customer&rsquo;s picture to printed shirts, and what each order really earned.</p>
        </div>
      </header>

      {!isDemo() && (
        <section className={styles.choice} aria-labelledby="demo">
          <h2 id="demo">Walk through the demo shop</h2>
          <p>
            An invented shop with three months of orders, presses at work and a full stockroom. Try anything:
            it is kept apart from your own shop, and only this computer can see it.
          </p>
          <ActionForm action={openDemo} label="Demo shop">
            <SubmitButton look="plain">Open the demo shop</SubmitButton>
          </ActionForm>
        </section>
      )}

      {hasOwnShop() ? <OwnShop /> : <NewShop />}
    </main>
  )
}

/** Seen from within the demo, where a shop of one's own is kept beside it. */
function OwnShop() {
  return (
    <section className={styles.choice} aria-labelledby="own">
      <h2 id="own">Your own shop</h2>
      <p>The demo closes, and your shop opens in its place.</p>
      <ActionForm action={openOwnShop} label="Your shop">
        <SubmitButton>Open my shop</SubmitButton>
      </ActionForm>
    </section>
  )
}

function NewShop() {
  const guess = guessFromMachine()
  return (
    <section className={styles.choice} aria-labelledby="own">
      <h2 id="own">Set up your own shop</h2>
      <p>All of this but the currency can be changed later.</p>
      <ActionForm action={setUpShop} label="Your shop">
        <Field name="name" label="Name of the shop" required maxLength={80} autoComplete="organization" />
        <SelectField
          name="currency"
          label="Currency"
          required
          value={guess.currency}
          empty="choose a currency"
          options={currencies()}
        />
        <SelectField
          name="timeZone"
          label="Time zone"
          required
          value={guess.timeZone}
          empty="choose a time zone"
          options={timeZones()}
        />
        <Choices
          name="measures"
          label="Measures"
          required
          value={guess.measures}
          options={[
            { value: 'metric', label: 'Centimetres and °C' },
            { value: 'imperial', label: 'Inches and °F' },
          ]}
        />
        <Field
          name="owner"
          label="Your name"
          hint="You sign in with it, and see wages and margins as the owner."
          required
          maxLength={60}
          autoComplete="username"
        />
        <Field
          name="password"
          label="Password"
          hint={`At least ${SHORTEST_PASSWORD} characters. A few words in a row are good.`}
          required
          type="password"
          autoComplete="new-password"
        />
        <Field name="again" label="Password once more" required type="password" autoComplete="new-password" />
        <SubmitButton>Open my shop</SubmitButton>
      </ActionForm>
    </section>
  )
}

/** What the computer's own settings suggest; the server runs in the shop. */
function guessFromMachine() {
  const { timeZone, locale } = Intl.DateTimeFormat().resolvedOptions()
  const american = /-US$/.test(locale) && timeZone.startsWith('America/')
  return {
    timeZone,
    currency: american ? 'USD' : timeZone.startsWith('Europe/') ? 'EUR' : undefined,
    measures: american ? 'imperial' : 'metric',
  }
}

function currencies() {
  const names = new Intl.DisplayNames('en', { type: 'currency' })
  return Intl.supportedValuesOf('currency').map(value => ({ value, label: `${value} · ${names.of(value)}` }))
}

function timeZones() {
  return ['UTC', ...Intl.supportedValuesOf('timeZone')].map(value => {
    const [group, ...place] = value.split('/')
    const label = (place.join(', ') || value).replaceAll('_', ' ')
    return place.length ? { value, label, group: group as string } : { value, label }
  })
}
