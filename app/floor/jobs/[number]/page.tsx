import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { readNumber } from '@/app/number-in-address'
import { ButtonLink } from '@/app/parts/button'
import { DataTable } from '@/app/parts/data-table'
import { EmptyState } from '@/app/parts/empty-state'
import { Live } from '@/app/parts/live'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { MISPRINT_WORDS } from '@/lib/floor/misprint'
import { STEP_WORDS } from '@/lib/floor/reports'
import { type JobView, jobView, type StepView } from '@/lib/floor/views/store'
import type { OrderState } from '@/lib/orders/states'
import { apartFrom, coloursOf, namesOf, piecesThrough, type SizeCount } from '@/lib/planning/recipe-snapshot'
import { isAfter, isRemake } from '@/lib/planning/steps'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { PLACEMENT } from '@/lib/shop/placements'
import { shop } from '@/lib/shop/store'
import { dayOf, formatMinutes, formatMoment, formatTime, type Instant } from '@/lib/units/time'
import { Desk } from '../../desk'
import { StepGarment } from '../../garment'
import { SizeTable } from '../../size-table'
import { pieces, reportWords } from '../../text'
import styles from './job.module.css'
import { UndoForm } from './undo-form'

type Address = { params: Promise<{ number: string }> }
const find = async (params: Address['params']) => {
  const number = readNumber((await params).number)
  return number === null ? null : jobView(number)
}

export async function generateMetadata({ params }: Address): Promise<Metadata> {
  const view = await find(params)
  return { title: view ? `Job ${view.job.number}` : 'Job' }
}

/** One order on the floor: every step with what was planned and what really happened. The code on its ticket leads here. */
export default async function Job({ params }: Address) {
  const person = await requirePerson('floor.see')
  const reports = mayDo(person, 'floor.report')
  const view = await find(params)
  if (!view) notFound()
  const facts = await shop()
  const { job, steps } = view
  const zone = facts.timeZone
  const next =
    steps.find(s => s.state === 'running') ?? steps.find(s => s.state === 'paused' || s.state === 'waiting')
  const code = next?.station?.code ?? next?.planned?.code
  const place = next?.station?.name ?? next?.planned?.station
  const chains = [...new Set(steps.map(s => s.job))]
  const first = steps[0]
  const garment = first && view.garments.get(first.id)
  return (
    <RoomPage side={garment && <Side view={view} measures={facts.measures} />} sideLabel="The garment">
      <Live topics={['floor', 'plan', 'orders', 'art', 'shop']} />
      <PageHead
        title={`${job.number} ${job.customer}`}
        back={{ href: '/floor', label: 'Board' }}
        mark={<StateMark state={job.state as OrderState} />}
        sense={
          <p>
            {job.title}
            {job.promiseAt !== null &&
              ` · ${job.promiseHard ? 'event' : 'promised'} ${formatMoment(job.promiseAt, zone)}`}
            {steps.length > 0 && job.state !== 'handedOver' && ` · ${view.standing.words}`}
          </p>
        }
        more={
          <>
            <ButtonLink href={`/counter/orders/${job.number}`}>Order</ButtonLink>
            {steps.length > 0 && <ButtonLink href={`/floor/tickets/${job.number}`}>Ticket</ButtonLink>}
          </>
        }
        next={
          code &&
          next && (
            <ButtonLink look="primary" size="floor" href={`/floor/stations/${code}`}>
              {next.state === 'running' ? 'Runs on' : next.state === 'paused' ? 'Paused on' : 'Next on'}{' '}
              {place}
            </ButtonLink>
          )
        }
      />
      {job.uncleared.length > 0 && (
        <Notice kind="stop" action={<Link href="/artdesk">To the art desk</Link>}>
          {job.uncleared.join(', ')} is not cleared to sell: nothing of it starts before somebody records the
          basis.
        </Notice>
      )}
      {steps.length === 0 && (
        <EmptyState
          title="Nothing is on the floor for it yet"
          action={<ButtonLink href={`/counter/orders/${job.number}`}>To the order</ButtonLink>}
        >
          Its steps stand here once the offer is agreed.
        </EmptyState>
      )}
      {chains.map(chain => (
        <Chain
          key={chain}
          title={chainTitle(chain, chains)}
          steps={steps.filter(s => s.job === chain)}
          zone={zone}
        />
      ))}
      {view.misprints.length > 0 && (
        <Section
          title="Misprints"
          aside={pieces(view.misprints.reduce((n, m) => n + (m.undone ? 0 : m.quantity), 0))}
        >
          <DataTable
            caption="Misprints of this order"
            quietCaption
            rows={view.misprints}
            rowKey={m => m.id}
            columns={[
              { key: 'at', head: 'When', cell: m => formatMoment(m.at, zone) },
              {
                key: 'what',
                head: 'What',
                rowHead: true,
                cell: m => `${m.quantity} × ${m.size}${m.undone ? ', taken back' : ''}`,
              },
              {
                key: 'why',
                head: 'Why',
                wrap: true,
                cell: m => `${MISPRINT_WORDS[m.reason]}${m.note ? `: ${m.note}` : ''}`,
              },
              { key: 'step', head: 'At', wrap: true, spare: true, cell: m => m.step },
              { key: 'by', head: 'Who', cell: m => m.byName },
              {
                key: 'photo',
                head: 'Photo',
                cell: m =>
                  m.photo ? (
                    <a href={`/api/misprints/${m.id}/photo`} className={styles.photo}>
                      {/* biome-ignore lint/performance/noImgElement: it is shown as it is kept, to people of the shop alone */}
                      <img
                        src={`/api/misprints/${m.id}/photo`}
                        alt={`Misprint: ${m.quantity} × ${m.size}, ${MISPRINT_WORDS[m.reason]}`}
                        loading="lazy"
                      />
                    </a>
                  ) : (
                    '–'
                  ),
              },
            ]}
          />
        </Section>
      )}
      {view.reports.length > 0 && (
        <Section title="What happened" id="reports">
          <Desk person={{ id: person.id, name: person.name }} zone={zone}>
            <DataTable
              caption="Reports from the stations, newest first"
              quietCaption
              rows={view.reports}
              rowKey={r => r.id}
              columns={[
                {
                  key: 'at',
                  head: 'When',
                  cell: r => (
                    <>
                      {formatMoment(r.at, zone)}
                      {r.cameAt !== null && <small> (came in {formatTime(r.cameAt, zone)})</small>}
                    </>
                  ),
                },
                { key: 'step', head: 'Step', rowHead: true, wrap: true, cell: r => r.step },
                {
                  key: 'kind',
                  head: 'Report',
                  wrap: true,
                  cell: r =>
                    r.undone ? (
                      <>
                        <s>{reportWords(r)}</s> taken back
                      </>
                    ) : (
                      reportWords(r)
                    ),
                },
                { key: 'by', head: 'Who', cell: r => r.byName },
                {
                  key: 'wrong',
                  head: 'Wrong?',
                  cell: r =>
                    reports &&
                    r.newest && (
                      <UndoForm
                        stepId={r.stepId}
                        reportId={r.id}
                        name={`${job.number}, ${r.step}: ${reportWords(r)}`}
                      />
                    ),
                },
              ]}
            />
          </Desk>
        </Section>
      )}
    </RoomPage>
  )
}

function chainTitle(chain: string, all: readonly string[]): string {
  if (isAfter(chain)) return 'Afterwards'
  const n = chain.split('-')[1]?.replace('.', ', part ')
  if (isRemake(chain)) return `Remake ${n}`
  return all.filter(c => !isAfter(c) && !isRemake(c)).length > 1 ? `Batch ${n}` : 'Steps'
}

/** From when to when; the day is said again where it is another one. */
function span(from: Instant | null, to: Instant | null, zone: string): string {
  if (from === null) return '–'
  if (to === null) return `${formatMoment(from, zone)} …`
  const end = dayOf(from, zone) === dayOf(to, zone) ? formatTime(to, zone) : formatMoment(to, zone)
  return `${formatMoment(from, zone)} – ${end}`
}

function Chain({ title, steps, zone }: { title: string; steps: StepView[]; zone: string }) {
  return (
    <Section title={title} aside={isAfter(steps[0]?.job ?? '') ? undefined : pieces(piecesOf(steps))}>
      <DataTable
        caption={`${title}: planned and real`}
        quietCaption
        rows={steps}
        rowKey={s => s.id}
        mark={s => (s.state === 'running' ? 'now' : s.state === 'done' ? 'done' : undefined)}
        columns={[
          {
            key: 'step',
            head: 'Step',
            rowHead: true,
            wrap: true,
            cell: s => {
              const apart = apartFrom(s, steps)
              return (
                <span id={`step-${s.id}`}>
                  {s.title}
                  {apart && <> ({apart})</>}
                </span>
              )
            },
          },
          {
            key: 'station',
            head: 'Station',
            cell: s => {
              const at = s.station ?? (s.planned && { code: s.planned.code, name: s.planned.station })
              if (at) return <Link href={`/floor/stations/${at.code}`}>{at.name}</Link>
              return isAfter(s.job) && s.state === 'waiting' ? 'not on the plan yet' : 'no place on the plan'
            },
          },
          {
            key: 'state',
            head: 'Stands',
            cell: s =>
              s.state === 'done' ? (
                <StateMark state="done">
                  {s.good} good{s.spoiled ? `, ${s.spoiled} spoiled` : ''}
                </StateMark>
              ) : s.state === 'running' ? (
                <StateMark state="making">
                  running, {s.good} of {s.pieces}
                </StateMark>
              ) : (
                STEP_WORDS[s.state]
              ),
          },
          {
            key: 'planned',
            head: 'Planned',
            spare: true,
            cell: s => (
              <>
                {s.state === 'done' || !s.planned ? '' : `${span(s.planned.workAt, s.planned.endAt, zone)}, `}
                {formatMinutes(s.setupMinutes + s.runMinutes)}
              </>
            ),
          },
          { key: 'real', head: 'Real', cell: s => span(s.startedAt, s.finishedAt, zone) },
          { key: 'who', head: 'Who', spare: true, cell: s => s.last?.byName ?? s.planned?.crew ?? '–' },
        ]}
      />
    </Section>
  )
}

/** Pieces of a chain: a print that comes in several sizes is worked in as many steps, each with some of them. */
const piecesOf = (steps: readonly StepView[]): number =>
  piecesThrough(steps).reduce((n, s) => n + s.quantity, 0) || (steps[0]?.pieces ?? 0)

/** Which blanks these are, whatever their order. */
const blanksOf = (sizes: readonly SizeCount[]): string =>
  sizes
    .map(s => s.itemId)
    .sort()
    .join()
/** What the drawing of a step shows: these blanks, from this side. */
const seenFrom = ({ sizes, recipe }: StepView): string =>
  `${recipe.print && PLACEMENT[recipe.print.placement].side === 'back' ? 'back' : 'front'} ${blanksOf(sizes)}`

function Side({ view, measures }: { view: JobView; measures: 'metric' | 'imperial' }) {
  // One drawing for each batch, as its steps work the same blanks; for each part of one that
  // works other blanks; and for the back, where something is printed there too.
  const steps = view.steps.filter(s => !isAfter(s.job) && !isRemake(s.job))
  const batches = [...new Set(steps.map(s => s.job))]
  const drawings = batches.flatMap(job => {
    const own = steps.filter(s => s.job === job)
    const printed = own.filter(s => s.recipe.print)
    return printed.length === 0
      ? own.slice(0, 1)
      : printed.filter((s, i) => printed.findIndex(o => seenFrom(o) === seenFrom(s)) === i)
  })
  return (
    <>
      {drawings.map((s, i) => {
        const garment = view.garments.get(s.id)
        const counted = drawings.slice(0, i).some(o => blanksOf(o.sizes) === blanksOf(s.sizes))
        return (
          garment && (
            <div key={s.id} className={styles.garment}>
              <StepGarment
                garment={garment}
                printId={s.recipe.print?.id ?? null}
                system={measures}
                width={320}
              />
              {!counted && (
                <SizeTable
                  sizes={s.sizes}
                  caption={`${chainTitle(s.job, batches)}, ${coloursOf(s.sizes)}, pieces in ${namesOf(s.sizes)}`}
                />
              )}
            </div>
          )
        )
      })}
    </>
  )
}
