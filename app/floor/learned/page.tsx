import type { Metadata } from 'next'
import type { ReactNode } from 'react'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { EmptyState } from '@/app/parts/empty-state'
import { Live } from '@/app/parts/live'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { paceKey, RECIPE_WEIGHT_PIECES } from '@/lib/costing/learned'
import { type TakenRow, takenRows } from '@/lib/costing/store'
import { type LearnedStep, type Measured, type Offered, offeredRates } from '@/lib/floor/happened/learned'
import { learned } from '@/lib/floor/happened/store'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { METHOD_WORDS } from '@/lib/shop/methods'
import { rateCards, shop } from '@/lib/shop/store'
import { formatMoment } from '@/lib/units/time'
import { FloorNav } from '../floor-nav'
import { large } from '../text'
import { dropPaceAction, takePaceAction, takeSpoilageAction } from './actions'
import styles from './learned.module.css'

export const metadata: Metadata = { title: 'What we learned' }

/** Times and spoilage as the floor has measured them, offered as the new values: somebody takes them, or leaves them. */
export default async function Learned() {
  const person = await requirePerson('floor.see')
  const [{ steps, methods }, taken, cards, facts] = await Promise.all([
    learned(),
    takenRows(),
    rateCards(),
    shop(),
  ])
  const may = mayDo(person, 'rates.change')
  const rates = cards[0]
  const offered = offeredRates(cards, methods)
  return (
    <RoomPage wide>
      <Live topics={['floor', 'shop']} />
      <FloorNav current="/floor/learned" />
      <PageHead
        title="What we learned"
        sense="Measured here, beside what the recipe says. Nothing counts before somebody takes it; what was agreed keeps its own."
      />
      {steps.length === 0 && (
        <EmptyState title="Nothing is measured yet">
          Times stand here once steps have been started and finished at their stations.
        </EmptyState>
      )}
      {steps.map(s => {
        const mine = taken.filter(t => paceKey(t.recipe, t.key) === paceKey(s.recipe?.id ?? null, s.key))
        return (
          <Step
            key={paceKey(s.recipe?.id ?? null, s.key)}
            step={s}
            taken={mine}
            may={may}
            zone={facts.timeZone}
          />
        )
      })}
      {rates && offered && methods.length > 0 && (
        <Section title="Spoilage by method">
          <DataTable
            caption="Spoilage that was counted, beside the rate that is set"
            quietCaption
            rows={methods.filter(m => m.pieces > 0)}
            rowKey={m => m.method}
            columns={[
              { key: 'method', head: 'Method', rowHead: true, cell: m => large(METHOD_WORDS[m.method].name) },
              { key: 'counted', head: 'Counted', cell: m => `${m.spoiled} of ${m.pieces} spoiled` },
              {
                key: 'set',
                head: 'Set',
                numeric: true,
                cell: m => percent(rates.rates.spoilage[m.method].rate),
              },
              {
                key: 'offer',
                head: 'Would be',
                numeric: true,
                cell: m => percent(offered.spoilage[m.method].rate),
              },
              {
                key: 'take',
                head: 'Take',
                cell: m =>
                  may &&
                  (percent(offered.spoilage[m.method].rate) ===
                  percent(rates.rates.spoilage[m.method].rate) ? (
                    <StateMark state="done">counts now</StateMark>
                  ) : (
                    <ActionForm
                      action={takeSpoilageAction}
                      label={`Spoilage of ${METHOD_WORDS[m.method].name}`}
                    >
                      <input type="hidden" name="method" value={m.method} />
                      <input type="hidden" name="basedOn" value={rates.id} />
                      <SubmitButton look="plain">
                        Take {percent(offered.spoilage[m.method].rate)}
                      </SubmitButton>
                    </ActionForm>
                  )),
              },
            ]}
          />
          <p className={styles.quiet}>
            The rate that is set weighs like {RECIPE_WEIGHT_PIECES} pieces, so that a few spoiled ones do not
            turn it over.
          </p>
        </Section>
      )}
    </RoomPage>
  )
}

const percent = (share: number) => `${(share * 100).toFixed(1)} %`
/** Seconds per piece, as people read them. */
const secs = (n: number) => (n < 10 ? `${n.toFixed(1)}\u00a0s` : `${Math.round(n)}\u00a0s`)

function Step({
  step,
  taken: all,
  may,
  zone,
}: {
  step: LearnedStep
  /** Wherever it is worked, and at single stations. */
  taken: readonly TakenRow[]
  may: boolean
  zone: string
}) {
  // Steps of two recipes may have one title: what is on the page is told apart by the recipe too.
  const named = step.recipe ? `${step.title}: ${step.recipe.name}` : step.title
  const taken = all.find(t => t.stationId === null)
  const offer = step.recipePerPiece * step.pace.factor
  const counts = step.recipePerPiece * (taken?.factor ?? 1)
  type Line = Measured & { name: string; of: string; station?: { id: string; pace: Offered } }
  const rows: Line[] = [
    { ...step, name: 'All runs', of: '' },
    ...step.stations.map(s => ({ ...s, of: 'station', station: s })),
    ...step.people.map(p => ({ ...p, of: 'person' })),
  ]
  // Where one station alone has worked it, its time is everybody's.
  const apart = may && (step.stations.length > 1 || all.some(t => t.stationId !== null))
  const keys = (
    <>
      <input type="hidden" name="recipe" value={step.recipe?.id ?? ''} />
      <input type="hidden" name="key" value={step.key} />
    </>
  )
  return (
    <Section title={named}>
      <p className={styles.words}>
        Measured <b>{secs(step.perPiece)}</b> a piece over {step.pieces} pieces in {step.runs}{' '}
        {step.runs === 1 ? 'run' : 'runs'}; the recipe says {secs(step.recipePerPiece)}, set-up shared out.{' '}
        {taken
          ? `${secs(counts)} counts now: ${taken.byName} took it on ${formatMoment(taken.takenAt, zone)} from ${taken.runs} ${taken.runs === 1 ? 'run' : 'runs'}.`
          : 'The recipe’s own time counts.'}
      </p>
      <DataTable
        caption={`${named}: measured by station and person`}
        quietCaption
        rows={rows}
        rowKey={r => `${r.of} ${r.name}`}
        columns={[
          {
            key: 'name',
            head: 'Where and who',
            rowHead: true,
            cell: r => (
              <>
                {r.name}
                {r.of && <small className={styles.quiet}> {r.of}</small>}
              </>
            ),
          },
          { key: 'runs', head: 'Runs', numeric: true, cell: r => r.runs },
          { key: 'pieces', head: 'Pieces', numeric: true, cell: r => r.pieces },
          { key: 'each', head: 'A piece', numeric: true, cell: r => secs(r.perPiece) },
          {
            key: 'spread',
            head: 'Spread',
            numeric: true,
            cell: r =>
              r.runs < 2
                ? '–'
                : `${secs(r.spread.from)} – ${secs(r.spread.to)}${r.spread.of === 'all' ? ' (all)' : ''}`,
          },
          {
            key: 'spoiled',
            head: 'Spoiled',
            numeric: true,
            cell: r =>
              r.spoiled === 0
                ? `0 (at most ${percent(r.spoilage.to)})`
                : `${r.spoiled}: ${percent(r.spoilage.rate)} (${percent(r.spoilage.from)} – ${percent(r.spoilage.to)})`,
          },
          ...(apart
            ? [
                {
                  key: 'there',
                  head: 'Planned there',
                  cell: (r: Line) =>
                    r.station && (
                      <AtStation
                        about={`${named} at ${r.name}`}
                        keys={keys}
                        station={r.station.id}
                        now={r.recipePerPiece * (taken?.factor ?? 1)}
                        offer={r.recipePerPiece * r.station.pace.factor}
                        own={all.find(t => t.stationId === r.station?.id)}
                        each={r.recipePerPiece}
                      />
                    ),
                },
              ]
            : []),
        ]}
      />
      {may && (
        <div className={styles.take}>
          {secs(offer) !== secs(counts) && (
            <ActionForm action={takePaceAction} label={`Take the time of ${named}`}>
              {keys}
              <input type="hidden" name="station" value="" />
              <SubmitButton look="plain">Take {secs(offer)} a piece</SubmitButton>
            </ActionForm>
          )}
          {taken && (
            <ActionForm action={dropPaceAction} label={`Back to the recipe’s time of ${named}`}>
              {keys}
              <input type="hidden" name="station" value="" />
              <SubmitButton look="quiet">Back to the recipe’s {secs(step.recipePerPiece)}</SubmitButton>
            </ActionForm>
          )}
          <p className={styles.quiet}>
            The recipe’s own time weighs like two hours of work in what is offered, so that one odd run does
            not turn it over.{' '}
            {apart && 'A station’s own time is planned with at that station; offers go by the time of all. '}
            {step.people.length > 0 &&
              'A person’s time is there to be talked about: plans ask who can work a station, not how fast.'}
          </p>
        </div>
      )}
    </Section>
  )
}

/** What is planned at one station, and the way to its own time and back. */
function AtStation({
  about,
  keys,
  station,
  now,
  offer,
  own,
  each,
}: {
  about: string
  keys: ReactNode
  station: string
  /** Seconds a piece that are planned there without a time of its own, and that its clocks offer. */
  now: number
  offer: number
  own: TakenRow | undefined
  /** What the recipe says for a piece there. */
  each: number
}) {
  const counts = own ? each * own.factor : now
  return (
    <div className={styles.there}>
      {secs(counts)}
      {secs(offer) !== secs(counts) && (
        <ActionForm action={takePaceAction} label={`Take the time of ${about}`}>
          {keys}
          <input type="hidden" name="station" value={station} />
          <SubmitButton look="plain" size="small">
            Take {secs(offer)}
          </SubmitButton>
        </ActionForm>
      )}
      {own && (
        <ActionForm action={dropPaceAction} label={`Back to the time of all for ${about}`}>
          {keys}
          <input type="hidden" name="station" value={station} />
          <SubmitButton look="quiet" size="small">
            Back
          </SubmitButton>
        </ActionForm>
      )}
    </div>
  )
}
