import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { z } from 'zod'
import { readNumber } from '@/app/number-in-address'
import { Button } from '@/app/parts/button'
import { EmptyState } from '@/app/parts/empty-state'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { jobView } from '@/lib/floor/views/store'
import { piecesThrough } from '@/lib/planning/recipe-snapshot'
import { isAfter, isRemake } from '@/lib/planning/steps'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { formatMoment } from '@/lib/units/time'
import { SizeTable } from '../../size-table'
import { PrintButton } from '../../tickets/[number]/print-button'
import { qrOf } from '../../tickets/code'
import { CodePicture } from '../../tickets/code-picture'
import styles from './label.module.css'

type Address = {
  params: Promise<{ number: string }>
  searchParams: Promise<{ bags?: string | string[] }>
}
const bagsSchema = z.coerce.number().int().min(1).max(50).catch(1)

export async function generateMetadata({ params }: Pick<Address, 'params'>): Promise<Metadata> {
  return { title: `Label ${(await params).number}` }
}

/** The label for the bag: whose it is, what is in it, and the code that finds the order again. */
export default async function Label({ params, searchParams }: Address) {
  await requirePerson('floor.see')
  const number = readNumber((await params).number)
  const view = number === null ? null : await jobView(number)
  if (!view) notFound()
  const facts = await shop()
  const bags = bagsSchema.parse((await searchParams).bags)
  const { job } = view
  // A remake makes some of the pieces again.
  const batches = new Set(view.steps.map(s => s.job).filter(job => !isAfter(job) && !isRemake(job)))
  const sizes = [...batches].flatMap(job => piecesThrough(view.steps.filter(s => s.job === job)))
  const code = await qrOf(`/floor/jobs/${job.number}`)
  return (
    <RoomPage narrow>
      <div data-screen-only>
        <PageHead
          title={`Label ${job.number}`}
          back={{ href: `/floor/tickets/${job.number}`, label: `Ticket ${job.number}` }}
          sense="One for each bag, 100 × 70 mm: on label paper, or cut from a plain sheet."
          next={sizes.length > 0 && <PrintButton />}
        />
        <form className={styles.bags} action={`/floor/labels/${job.number}`}>
          <Field name="bags" label="Bags" value={String(bags)} inputMode="numeric" size={4} />
          <Button type="submit" size="floor">
            So many
          </Button>
        </form>
      </div>
      {sizes.length === 0 && (
        <EmptyState title="There is nothing to bag yet">
          The label is written when the order is agreed.
        </EmptyState>
      )}
      {sizes.length > 0 &&
        Array.from({ length: bags }, (_, i) => i + 1).map(bag => (
          <article key={bag} className={styles.label} data-paper="label" aria-label={`Bag ${bag} of ${bags}`}>
            <div className={styles.head}>
              <div>
                <p className={styles.shop}>
                  {facts.name}
                  {bags > 1 && ` · bag ${bag} of ${bags}`}
                </p>
                <p className={styles.number}>{job.number}</p>
                <p className={styles.who}>{job.customer}</p>
                {job.promiseAt !== null && (
                  <p>
                    {job.promiseHard ? 'Event' : 'Promised'} {formatMoment(job.promiseAt, facts.timeZone)}
                  </p>
                )}
              </div>
              <CodePicture code={code} className={styles.code} />
            </div>
            <p>{job.title}</p>
            <SizeTable sizes={sizes} caption={`Sizes of order ${job.number}, bag ${bag}`} />
          </article>
        ))}
    </RoomPage>
  )
}
