import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { readNumber } from '@/app/number-in-address'
import { ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { Live } from '@/app/parts/live'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { StateMark } from '@/app/parts/state-mark'
import { pressPlanOf } from '@/lib/floor/press-plan'
import { remindersOf } from '@/lib/floor/reminders'
import { checksOf, STEP_WORDS } from '@/lib/floor/reports'
import { stateWords } from '@/lib/floor/state-words'
import { type StationView, stationView, type Task } from '@/lib/floor/views/store'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { countedWords } from '@/lib/shop/recipe'
import { everyStation, type ShopFacts, shop } from '@/lib/shop/store'
import { dayOf, formatMinutes, formatMoment, formatTime, type Instant, instantOf } from '@/lib/units/time'
import { Deck, Desk, type Step as FormStep, StepSheet, WhileRunning } from '../../desk'
import { StepGarment } from '../../garment'
import { StationTimer } from '../../press-timer'
import { RecipeCautions, RecipeSheet, settingWords } from '../../recipe-sheet'
import { SizeTable } from '../../size-table'
import { pieces } from '../../text'
import { FinishForm, MisprintForm, PauseForm, ResumeForm, StartForm } from './forms'
import styles from './station.module.css'

type Address = {
  params: Promise<{ code: string }>
  searchParams: Promise<{ ticket?: string | string[] }>
}

export async function generateMetadata({ params }: Pick<Address, 'params'>): Promise<Metadata> {
  const [{ code }, all] = await Promise.all([params, everyStation()])
  return { title: all.find(s => s.code === code)?.name ?? 'Station' }
}

/** The screen beside a machine: now, next, after. */
export default async function StationScreen({ params, searchParams }: Address) {
  const person = await requirePerson('floor.see')
  const { ticket: scanned } = await searchParams
  const ticket = typeof scanned === 'string' ? readNumber(scanned) : null
  const view = await stationView((await params).code, ticket)
  if (!view) notFound()
  const facts = await shop()
  const { station, now, paused, coming } = view
  const reports = mayDo(person, 'floor.report')
  const at = instantOf(new Date())
  // What can start now stands before what the plan has earlier but still waits for another station.
  const first = coming.find(t => t.job.number === ticket) ?? coming.find(t => canStart(t, at))
  const tasks = [...(now ? [now] : []), ...(first ? [first] : []), ...coming.filter(t => t !== first)]
  const zone = facts.timeZone
  return (
    <RoomPage wide>
      <Live topics={['floor', 'plan', 'orders', 'art', 'shop']} minutes={5} />
      <PageHead
        title={station.name}
        back={{ href: '/floor', label: 'Board' }}
        sense={
          <p className={styles.state}>
            {stateWords(station.state, facts.measures)
              ? `Stands at ${stateWords(station.state, facts.measures)}. `
              : ''}
            <Link href="/floor/stations">Another station</Link>
          </p>
        }
      />
      {ticket !== null && <Ticket number={ticket} view={view} />}
      <Desk person={{ id: person.id, name: person.name }} zone={zone}>
        <Deck
          tasks={[...paused, ...tasks].map((task, i) => ({
            step: formStep(task),
            paused: <Paused task={task} />,
            resume: reports && <ResumeForm step={formStep(task)} />,
            // Beyond the next two somebody has a line again.
            desk: i < paused.length + 3 && (
              <TaskDesk task={task} at={at} view={view} reports={reports} facts={facts} />
            ),
            row: <Row task={task} view={view} facts={facts} />,
          }))}
          empty={
            <EmptyState
              title={`Nothing is planned for ${station.name}`}
              action={<ButtonLink href="/floor">To the board</ButtonLink>}
            >
              What is agreed at the counter stands here as soon as the plan gives it to this station.
            </EmptyState>
          }
        />
      </Desk>
    </RoomPage>
  )
}

const formStep = ({ step, job, left, heard }: Task): FormStep => ({
  id: step.id,
  state: step.state,
  pieces: step.pieces,
  open: step.pieces - step.good - step.spoiled,
  left,
  heard,
  name: `${job.number}, ${step.title}`,
})

/** What a scanned ticket finds here, where it cannot simply be started. */
function Ticket({ number, view: { station, now, paused, coming } }: { number: number; view: StationView }) {
  if (now?.job.number === number || paused.some(t => t.job.number === number)) return null
  const here = coming.some(t => t.job.number === number)
  if (here && now)
    return (
      <Notice title={`${number} is not started.`}>
        {station.name} works on “{now.step.title}” of {now.job.number}: finish or pause that first, then scan
        again.
      </Notice>
    )
  if (here) return null
  return (
    <Notice
      title={`${number} is not planned here any more.`}
      action={<Link href={`/floor/scan/${number}`}>To its next step</Link>}
    >
      The plan has moved it, or it was done meanwhile.
    </Notice>
  )
}

/** A piece of work that lies here half done. */
function Paused({ task: { step, job } }: { task: Task }) {
  return (
    <div>
      <h2>Paused: {job.number}</h2>
      <p>{step.title}</p>
      <p>
        {pieces(step.good)} of {step.pieces} done
        {step.last?.kind === 'pause' && step.last.note ? `; ${step.last.byName}: ${step.last.note}` : ''}.
      </p>
    </div>
  )
}

/** A piece of work that comes later, in a line. */
function Row({ task: t, view, facts }: { task: Task; view: StationView; facts: ShopFacts }) {
  return (
    <>
      <Link href={`/floor/jobs/${t.job.number}#step-${t.step.id}`}>
        <b>{t.job.number}</b> {t.job.customer}
      </Link>
      <span>{t.step.title}</span>
      <span>
        {t.step.planned && when(t, facts.timeZone)}, {pieces(t.step.pieces)}
        {t.step.stationState && t.step.stationState !== view.station.state
          ? `, at ${stateWords(t.step.stationState, facts.measures)}`
          : ''}
      </span>
      <Mark task={t} />
    </>
  )
}

/** Whether the rest that a task waits for is over. */
const isRested = (t: Task, at: Instant): boolean =>
  t.waitsFor !== null && t.waitsFor.restsUntil !== null && t.waitsFor.restsUntil <= at
/** Whether a task waits for nothing but somebody to start it. */
const canStart = (t: Task, at: Instant): boolean =>
  t.job.uncleared.length === 0 && (t.waitsFor === null || isRested(t, at))

/** Since when, with its day where that is another one than today's. */
const sinceWords = (from: Instant, at: Instant, zone: string) =>
  dayOf(from, zone) === dayOf(at, zone) ? formatTime(from, zone) : formatMoment(from, zone)

const when = (t: Task, zone: string) =>
  t.step.planned ? formatMoment(t.step.planned.workAt, zone) : 'not on the plan'

function Mark({ task }: { task: Task }) {
  const { standing, words } = task.standing
  if (standing === 'late') return <StateMark state="late">{words}</StateMark>
  if (standing === 'risk') return <StateMark state="risk">at risk: {words}</StateMark>
  return null
}

/** What is worked, or would be started: recipe, garment, sizes, countdown and reports. */
function TaskDesk({
  task,
  at,
  view,
  reports,
  facts,
}: {
  task: Task
  at: Instant
  view: StationView
  reports: boolean
  facts: ShopFacts
}) {
  const { measures: system, timeZone: zone } = facts
  const { step, job, garment } = task
  const { recipe } = step
  const form = formStep(task)
  const waits = isRested(task, at) ? null : task.waitsFor
  const plan = pressPlanOf(recipe, view.station.kind)
  const counted = recipe.counted.per === 'piece' || recipe.counted.per === 'print'
  const reminders = remindersOf({
    sizes: step.sizes,
    promise: job.promiseHard && job.promiseAt !== null ? formatMoment(job.promiseAt, zone) : null,
    rights: job.rights,
  })
  return (
    <StepSheet step={form} className={styles.task}>
      <header className={styles.head}>
        <WhileRunning
          step={form}
          running={
            <p className={styles.now} data-running>
              Now{step.startedAt !== null && <span> since {sinceWords(step.startedAt, at, zone)}</span>}
            </p>
          }
          otherwise={<p className={styles.now}>Next{step.planned && <span> {when(task, zone)}</span>}</p>}
        />
        <h2 className={styles.number}>
          <Link href={`/floor/jobs/${job.number}#step-${step.id}`}>{job.number}</Link> {job.customer}
        </h2>
        <p className={styles.title}>
          {step.remake ? 'Remake: ' : ''}
          {step.title}
        </p>
        <p className={styles.setting} aria-hidden="true">
          {settingWords(recipe, system)}
        </p>
        <p className={styles.facts}>
          {counted
            ? pieces(step.pieces)
            : `${countedWords(recipe.counted.per, recipe.counted.units)}, for ${pieces(step.pieces)}`}
          {step.good > 0 && `, ${step.good} done`}
          {step.spoiled > 0 && `, ${step.spoiled} spoiled`}, about{' '}
          {formatMinutes(step.setupMinutes + step.runMinutes)}
          {job.promiseAt !== null &&
            `; ${job.promiseHard ? 'event' : 'promised'} ${formatMoment(job.promiseAt, zone)}`}
        </p>
        <Mark task={task} />
      </header>

      <div className={styles.act}>
        <WhileRunning
          step={form}
          running={
            <>
              {plan && (
                <StationTimer
                  step={form}
                  plan={plan}
                  verb={view.station.kind === 'heat-press' ? 'Close the press' : 'Start'}
                />
              )}
              {reports && (
                <>
                  <FinishForm step={form} counted={counted} />
                  <div className={styles.aside}>
                    {recipe.onBlank && <MisprintForm step={form} sizes={step.sizes} />}
                    <PauseForm step={form} />
                  </div>
                </>
              )}
            </>
          }
          otherwise={
            <>
              {job.uncleared.length > 0 && (
                <Notice kind="stop" action={<Link href="/artdesk">To the art desk</Link>}>
                  {job.uncleared.join(', ')} is not cleared to sell: it cannot start before somebody records
                  the basis.
                </Notice>
              )}
              {waits && <Waits waits={waits} zone={zone} />}
              {reports && (
                <StartForm
                  step={form}
                  stationId={view.station.id}
                  words={`Start ${job.number}`}
                  look={waits || job.uncleared.length > 0 ? 'plain' : 'primary'}
                  checks={facts.firstPiece ? checksOf(recipe) : []}
                  ticket={String(job.number)}
                />
              )}
            </>
          }
        />
        {reminders.map(r => (
          <Notice key={r.words} kind={r.kind === 'promise' ? 'caution' : 'info'}>
            {r.words}
          </Notice>
        ))}
      </div>

      <div className={styles.recipe}>
        <RecipeSheet recipe={recipe} system={system} />
        {recipe.counted.per === 'new-art' && recipe.print?.artworkId && (
          <p>
            <Link href={`/artdesk/${recipe.print.artworkId}`}>
              {recipe.print.artworkName} at the art desk
            </Link>
            : mend it and make its files there, then finish this step.
          </p>
        )}
        <SizeTable sizes={step.sizes} caption={`Sizes of order ${job.number} at this step`} />
      </div>

      {garment && (
        <div className={styles.garment}>
          <StepGarment garment={garment} printId={recipe.print?.id ?? null} system={system} />
          <p className={styles.caption}>
            {garment.style}, {garment.colours.join(', ')}
          </p>
        </div>
      )}

      <div className={styles.care}>
        {job.note && <Notice title="Note.">{job.note}</Notice>}
        <RecipeCautions recipe={recipe} />
        <div>
          <ButtonLink href={`/floor/tickets/${job.number}`}>Ticket of {job.number}</ButtonLink>
        </div>
      </div>
    </StepSheet>
  )
}

/** What comes before: a step that has handed nothing on, or a rest that is not over. */
function Waits({ waits, zone }: { waits: NonNullable<Task['waitsFor']>; zone: string }) {
  if (waits.restsUntil !== null)
    return (
      <Notice>
        The pieces rest after “{waits.title}” until {formatTime(waits.restsUntil, zone)}.
      </Notice>
    )
  return (
    <Notice action={waits.code && <Link href={`/floor/stations/${waits.code}`}>To {waits.station}</Link>}>
      First “{waits.title}”{waits.station ? ` on ${waits.station}` : ''}: it is {STEP_WORDS[waits.state]}.
    </Notice>
  )
}
