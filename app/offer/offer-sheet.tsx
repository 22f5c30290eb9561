import { LinePictures } from '@/app/counter/line-pictures'
import { DataTable } from '@/app/parts/data-table'
import { type OfferLine, type OfferPage, offerName } from '@/lib/orders/offer'
import { methodSentence, priceNotes, priceRows, printSentence } from '@/lib/orders/offer-words'
import { formatPieces } from '@/lib/orders/size-run'
import { formatMoney, type Minor } from '@/lib/units/money'
import { formatLongDay, formatTime } from '@/lib/units/time'
import styles from './offer.module.css'

/**
 * An offer as its customer reads it, on the screen and on paper. All of it comes from what the offer kept.
 * @param picture address of an artwork's picture
 * @param level 1 where it is the page, 2 inside a page of the shop
 */
export function OfferSheet({
  page,
  picture,
  level = 1,
}: {
  page: OfferPage
  picture: (artworkId: string) => string
  level?: 1 | 2
}) {
  const { shop } = page
  const Heading = level === 1 ? 'h1' : 'h2'
  const day = (at: OfferPage['madeAt']) => formatLongDay(at, shop.timeZone)
  return (
    <article className={styles.sheet} data-paper="offer">
      <header className={styles.head}>
        <div>
          <p className={styles.shop}>{shop.name}</p>
          <Heading>
            Offer {offerName(page.number, page.version)}
            {page.title && <span className={styles.title}> {page.title}</span>}
          </Heading>
        </div>
        <dl className={styles.dates}>
          <dt>For</dt>
          <dd>
            {page.customer.name}
            {page.customer.contact && `, ${page.customer.contact}`}
          </dd>
          <dt>Made</dt>
          <dd>{day(page.madeAt)}</dd>
          <dt>Valid until</dt>
          <dd>{day(page.validUntil)}</dd>
        </dl>
      </header>
      {page.message && <p className={styles.message}>{page.message}</p>}
      <p className={styles.promise}>
        Ready by <strong>{day(page.promise.at)}</strong>, {formatTime(page.promise.at, shop.timeZone)}
        {page.promise.hard ? ', for certain, if you agree in time' : ''}.
      </p>
      {page.lines.map((line, i) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: an offer's lines never change their order
        <Line key={i} line={line} page={page} picture={picture} />
      ))}
      <p className={styles.method}>{methodSentence(page)}</p>
      <Prices page={page} />
      {(page.care.length > 0 || page.cautions.length > 0) && (
        <section className={styles.notes}>
          <h2>Care, and what to know</h2>
          <ul>
            {[...page.care, ...page.cautions].map(text => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </section>
      )}
    </article>
  )
}

function Line({
  line,
  page,
  picture,
}: {
  line: OfferLine
  page: OfferPage
  picture: (artworkId: string) => string
}) {
  const { measures } = page.shop
  return (
    <section className={styles.line} data-keep-together>
      <LinePictures
        system={measures}
        picture={picture}
        width={260}
        line={{
          kind: line.kind,
          name: line.styleName,
          colour: line.colour,
          colourHex: line.colourHex,
          sizes: line.sizes,
          prints: line.prints,
        }}
      />
      <div className={styles.words}>
        <h2>
          {formatPieces(line.pieces)}: {line.styleName}, {line.colour}
        </h2>
        <p>{line.fibreWords}</p>
        <ul className={styles.run} aria-label="Pieces by size">
          {line.sizes
            .filter(s => s.quantity > 0)
            .map(s => (
              <li key={s.size}>
                <span>{s.size}</span> <b>{s.quantity}</b>
              </li>
            ))}
        </ul>
        <ul>
          {line.prints.map(p => (
            <li key={`${p.placement}-${p.artworkId}`}>{printSentence(p, measures)}</li>
          ))}
        </ul>
      </div>
    </section>
  )
}

function Prices({ page }: { page: OfferPage }) {
  const show = (amount: Minor) => formatMoney(amount, page.shop.currency)
  return (
    <section className={styles.prices} data-keep-together>
      <DataTable
        caption="Price"
        phone="narrow"
        rows={priceRows(page)}
        rowKey={r => r.key}
        columns={[
          {
            key: 'words',
            head: 'What',
            rowHead: true,
            wrap: true,
            cell: r => (r.total ? <strong>{r.words}</strong> : r.words),
          },
          { key: 'pieces', head: 'Pieces', numeric: true, cell: r => r.pieces ?? '' },
          {
            key: 'each',
            head: 'For one',
            numeric: true,
            cell: r => (r.each === undefined ? '' : show(r.each)),
          },
          {
            key: 'amount',
            head: 'Amount',
            numeric: true,
            cell: r =>
              r.total ? <strong className={styles.total}>{show(r.amount)}</strong> : show(r.amount),
          },
        ]}
      />
      {priceNotes(page).map(note => (
        <p key={note}>{note}</p>
      ))}
    </section>
  )
}
