import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { readNumber } from '@/app/number-in-address'
import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Sign } from '@/app/parts/sign'
import { scanCode } from '@/lib/floor/scan'
import { stateWords } from '@/lib/floor/state-words'
import { type JobView, jobView, type StepView } from '@/lib/floor/views/store'
import { apartFrom, coloursOf, namesOf, piecesThrough, type StepPrint } from '@/lib/planning/recipe-snapshot'
import { isAfter, isRemake } from '@/lib/planning/steps'
import { requirePerson } from '@/lib/server/session'
import { type ShopFacts, shop } from '@/lib/shop/store'
import { formatMoment } from '@/lib/units/time'
import { StepGarment } from '../../garment'
import { Place, RecipeSheet } from '../../recipe-sheet'
import { SizeTable } from '../../size-table'
import { type Code, qrOf } from '../code'
import { CodePicture } from '../code-picture'
import { PrintButton } from './print-button'
import styles from './ticket.module.css'

type Address = { params: Promise<{ number: string }> }
const find = async (params: Address['params']) => {
  const number = readNumber((await params).number)
  return number === null ? null : jobView(number)
}

export async function generateMetadata({ params }: Address): Promise<Metadata> {
  const view = await find(params)
  return { title: view ? `Ticket ${view.job.number}` : 'Ticket' }
}

/** The ticket that travels with the goods: one sheet for each batch and remake, A5 or half a Letter sheet. */
export default async function TicketPage({ params }: Address) {
  await requirePerson('floor.see')
  const view = await find(params)
  if (!view) notFound()
  const facts = await shop()
  const chains = [...new Set(view.steps.filter(s => !isAfter(s.job)).map(s => s.job))]
  const codes = await Promise.all(chains.map(job => qrOf(`/floor/scan/${scanCode(view.job.number, job)}`)))
  return (
    <RoomPage narrow>
      <div data-screen-only>
        <PageHead
          title={`Ticket ${view.job.number}`}
          back={{ href: `/floor/jobs/${view.job.number}`, label: `Job ${view.job.number}` }}
          sense={facts.paper === 'letter' ? 'Prints on half a Letter sheet.' : 'Prints on A5.'}
          more={
            chains.length > 0 && (
              <ButtonLink href={`/floor/labels/${view.job.number}`}>Label for the bag</ButtonLink>
            )
          }
          next={chains.length > 0 && <PrintButton />}
        />
      </div>
      {chains.length === 0 && (
        <EmptyState title="There is nothing to travel with yet">
          The ticket is written when the order is agreed.
        </EmptyState>
      )}
      {chains.map((chain, i) => (
        <Sheet
          key={chain}
          view={view}
          steps={view.steps.filter(s => s.job === chain && s.state !== 'dropped')}
          facts={facts}
          code={codes[i] as Code}
          part={chains.length > 1 ? `${i + 1} of ${chains.length}` : ''}
        />
      ))}
    </RoomPage>
  )
}

function Sheet({
  view,
  steps,
  facts,
  code,
  part,
}: {
  view: JobView
  steps: StepView[]
  facts: ShopFacts
  code: Code
  part: string
}) {
  const { job } = view
  const first = steps[0]
  if (!first) return null
  const garment = view.garments.get(first.id)
  const sizes = piecesThrough(steps)
  const cautions = [...new Set(steps.flatMap(s => s.recipe.cautions))]
  const notes = steps.flatMap(s => s.recipe.notes)
  const prints = steps
    .flatMap(s => {
      const drawn = view.garments.get(s.id)
      return s.recipe.print && drawn ? [{ print: s.recipe.print, drawn, sizes: namesOf(s.sizes) }] : []
    })
    .filter((p, i, all) => all.findIndex(o => keyOf(o.print) === keyOf(p.print)) === i)
  // Where a print comes in several sizes, each drawing says which garments it is for.
  const sized = (id: string) => prints.filter(p => p.print.id === id).length > 1
  const blanks = [...new Set(steps.flatMap(s => view.garments.get(s.id)?.style ?? []))]
  const apart = (step: StepView) => {
    const words = apartFrom(step, steps)
    return words && ` (${words})`
  }
  return (
    <article
      className={linesOf(steps) > MANY_LINES ? `${styles.sheet} ${styles.long}` : styles.sheet}
      data-paper={facts.paper === 'letter' ? 'half-letter' : 'ticket'}
    >
      <header className={styles.head}>
        <div>
          <p className={styles.shop}>
            {facts.name}
            {isRemake(first.job) ? ' · remake' : ''}
            {part && ` · ${part}`}
          </p>
          <h2 className={styles.number}>{job.number}</h2>
          <p className={styles.who}>{job.customer}</p>
          <p>{job.title}</p>
          {job.promiseAt !== null && (
            <p className={styles.promise}>
              {job.promiseHard ? 'Event' : 'Promised'} <b>{formatMoment(job.promiseAt, facts.timeZone)}</b>
              {job.rush && ' · rush'}
            </p>
          )}
        </div>
        <CodePicture code={code} className={styles.code} />
      </header>
      <div className={prints.length > 1 ? `${styles.what} ${styles.several}` : styles.what}>
        <div>
          <p className={styles.blank}>
            {[blanks.join(' and '), coloursOf(sizes)].filter(Boolean).join(', ')}
          </p>
          <SizeTable sizes={sizes} caption={`Sizes of ticket ${job.number}`} />
          {job.note && <p className={styles.note}>{job.note}</p>}
        </div>
        {garment && (
          <div className={styles.drawing}>
            {prints.map(({ print, drawn, sizes }) => (
              <div key={keyOf(print)}>
                <StepGarment garment={drawn} printId={print.id} system={facts.measures} width={230} />
                <Place print={print} system={facts.measures} sizes={sized(print.id) ? sizes : undefined} />
              </div>
            ))}
          </div>
        )}
      </div>
      <ol className={styles.steps}>
        {steps.map(s => (
          <li key={s.id}>
            <span className={styles.box} aria-hidden="true" />
            <div>
              <p className={styles.step}>
                <b>
                  {s.title}
                  {apart(s)}
                </b>
                <span>
                  {s.planned?.station ?? s.station?.name}
                  {s.stationState && ` at ${stateWords(s.stationState, facts.measures)}`}
                </span>
              </p>
              <RecipeSheet recipe={s.recipe} system={facts.measures} size="ticket" />
            </div>
          </li>
        ))}
      </ol>
      <ul className={styles.checks} aria-label="Checks">
        {CHECKS.map(c => (
          <li key={c}>
            <span className={styles.box} aria-hidden="true" /> {c}
          </li>
        ))}
      </ul>
      {(cautions.length > 0 || notes.length > 0) && (
        <footer className={styles.cautions}>
          {cautions.map(c => (
            <p key={c}>
              <Sign name="caution" /> {c}{' '}
            </p>
          ))}
          {notes[0] && <p>{notes[0]}</p>}
        </footer>
      )}
    </article>
  )
}

/** A print in one of the sizes that its garments have it in. */
const keyOf = (print: StepPrint): string => `${print.id} ${print.widthMm}`

/** Lines that the steps take, at most; more than so many are printed in smaller letters, to stay on one sheet. */
const linesOf = (steps: readonly StepView[]): number =>
  steps.reduce((n, s) => n + 1 + s.recipe.parts.length, 0)
const MANY_LINES = 12

/** What a careful printer looks at before the first piece. Common shop practice. */
const CHECKS = [
  'Right blank and sizes',
  'Right side and way up',
  'Art as agreed',
  'Temperature read',
  'First piece approved',
]
