import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { z } from 'zod'
import { readNumber } from '@/app/number-in-address'
import { ActionForm } from '@/app/parts/action-form'
import { Button, ButtonLink } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { Field } from '@/app/parts/field'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { Pager } from '@/app/parts/pager'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubNav } from '@/app/parts/sub-nav'
import { SubmitButton } from '@/app/parts/submit-button'
import { WhatHappened } from '@/app/what-happened'
import { historyOf } from '@/lib/server/history'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { type CountLine, findCount } from '@/lib/stock/counts/store'
import { EVERYDAY, formatAmount, typedAmount, UNITS } from '@/lib/stock/items'
import { formatMoment, formatTime } from '@/lib/units/time'
import styles from '../../stockroom.module.css'
import { countLineAction, dropCountAction } from '../actions'
import { CsvIn } from './csv-in'

const SIZE = 50
const asked = z.object({
  words: z.string().trim().max(80).optional().catch(undefined),
  only: z.enum(['open']).optional().catch(undefined),
  page: z.coerce.number().int().min(1).max(100_000).optional().catch(undefined),
  done: z.string().max(80).optional().catch(undefined),
})

type Props = {
  params: Promise<{ number: string }>
  searchParams: Promise<Record<string, string | string[] | undefined>>
}

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  return { title: `Count ${(await params).number.slice(0, 12)}` }
}

/** Counting at the shelf, by phone, scanner or keyboard. */
export default async function Count({ params, searchParams }: Props) {
  const person = await requirePerson('stock.see')
  const number = readNumber((await params).number)
  const { words, only, page = 1, done } = asked.parse(await searchParams)
  const found =
    number !== null ? await findCount(number, { page, size: SIZE, ...(words ? { words } : {}), only }) : null
  if (!found) notFound()
  const { count, lines, total, different } = found
  const [facts, past] = await Promise.all([shop(), historyOf('count', count.id, 50)])
  const { timeZone } = facts
  const here = `/stockroom/counts/${count.number}`
  const open = count.state === 'open'
  const moves = open && mayDo(person, 'stock.move')
  const buys = mayDo(person, 'stock.buy')
  const address = (to: number) => {
    const query = new URLSearchParams()
    if (words) query.set('words', words)
    if (only) query.set('only', only)
    if (to > 1) query.set('page', String(to))
    return `${here}?${query}`
  }
  return (
    <RoomPage
      sideLabel="Sheet and file"
      side={
        <>
          <Section title="On paper" small>
            <ButtonLink href={`${here}/sheet`}>Sheet to print</ButtonLink>
          </Section>
          <Section title="As a file" small>
            <p>
              <a href={`${here}/csv`} download>
                Take the list out as CSV
              </a>
            </p>
            {moves && <CsvIn count={count.number} />}
          </Section>
          {open && buys && (
            <Section title="Nothing comes of it" small>
              <ActionForm action={dropCountAction.bind(null, count.number)} label="Drop this count">
                <SubmitButton look="quiet">Drop this count</SubmitButton>
              </ActionForm>
            </Section>
          )}
        </>
      }
    >
      <PageHead
        back={{ href: '/stockroom/counts', label: 'Counts' }}
        title={`Count ${count.number}: ${count.name}`}
        sense={`${count.counted} of ${count.items} counted. Begun by ${count.startedBy}, ${formatMoment(count.startedAt, timeZone)}.`}
        mark={
          open ? (
            <StateMark state="making">{count.blind ? 'open, blind' : 'open'}</StateMark>
          ) : count.state === 'approved' ? (
            <StateMark state="done">approved by {count.endedBy}</StateMark>
          ) : (
            <StateMark state="withdrawn">dropped by {count.endedBy}</StateMark>
          )
        }
        next={
          buys && count.counted > 0 ? (
            <ButtonLink
              look={count.counted === count.items ? 'primary' : 'plain'}
              href={`${here}/differences`}
            >
              {open ? 'Look at the differences' : 'Differences'}
            </ButtonLink>
          ) : undefined
        }
      />
      {done && <Notice kind="done">{done} is written down. Scan the next shelf.</Notice>}
      <form action={here}>
        <search className={styles.filter}>
          <Field
            name="words"
            label="Scan or find"
            type="search"
            value={words}
            maxLength={80}
            placeholder="SKU or name"
            autoFocus={moves && !(words && lines.length === 1)}
          />
          <Button type="submit">Show</Button>
        </search>
      </form>
      <SubNav
        label="Lines"
        current={only ? `${here}?only=open` : here}
        items={[
          { href: here, label: 'All', count: count.items },
          { href: `${here}?only=open`, label: 'Still to count', count: count.items - count.counted },
        ]}
      />
      {lines.length === 0 ? (
        <EmptyState title={words ? `Nothing here is called “${words}”` : 'Every shelf is counted'}>
          {words ? (
            <>
              It may not be part of this count. <Link href={here}>Show all of it</Link>
            </>
          ) : different ? (
            `${different} differ from the book.`
          ) : (
            'All of it agrees with the book.'
          )}
        </EmptyState>
      ) : (
        <ul className={styles.lines}>
          {lines.map(l => (
            <li key={l.itemId}>
              <div className={styles.what}>
                <span>{l.name}</span>
                <small className={styles.quiet}>
                  {l.sku}
                  {!count.blind &&
                    ` · book ${formatAmount(l.found === null ? l.onHand : (l.bookHad ?? 0), l.unit)}`}
                  {l.found !== null &&
                    ` · ${formatAmount(l.found, l.unit)} by ${l.countedBy}${l.countedAt ? `, ${formatTime(l.countedAt, timeZone)}` : ''}`}
                </small>
              </div>
              {moves ? (
                <Line line={l} number={count.number} scanned={Boolean(words) && lines.length === 1} />
              ) : (
                <span>{l.found === null ? 'not counted' : formatAmount(l.found, l.unit)}</span>
              )}
            </li>
          ))}
        </ul>
      )}
      <Pager page={page} size={SIZE} total={total} href={address} what="items" />
      <WhatHappened about="this count" lines={past} facts={facts} who={person} />
    </RoomPage>
  )
}

function Line({ line, number, scanned }: { line: CountLine; number: number; scanned: boolean }) {
  const unit = line.unit === 'piece' ? undefined : UNITS[EVERYDAY[line.unit]].word
  return (
    <ActionForm
      key={line.version}
      action={countLineAction.bind(null, number, line.sku)}
      label={`Count ${line.name}`}
      className={styles.counting}
    >
      <input type="hidden" name="seen" value={line.version} />
      {scanned && <input type="hidden" name="scanned" value="on" />}
      <Field
        name="found"
        label={
          <>
            Really there<span className="aloud"> of {line.name}</span>
          </>
        }
        hint={unit && `In ${unit}, or say the unit.`}
        value={line.found === null ? undefined : typedAmount(line.found, line.unit)}
        size={8}
        inputMode="decimal"
        autoFocus={scanned}
      />
      <SubmitButton look={line.found === null ? 'primary' : 'plain'} size="floor">
        {line.found === null ? 'Counted' : 'Change'}
        <span className="aloud"> {line.name}</span>
      </SubmitButton>
    </ActionForm>
  )
}
