import Link from 'next/link'
import { StateMark } from '@/app/parts/state-mark'
import { CLEARANCE_WORDS, type ClearanceBasis } from '@/lib/artwork/clearance'
import { writeSizeRules } from '@/lib/artwork/size-rules'
import { offsetWords } from '@/lib/orders/difference'
import { remarkOnPrint } from '@/lib/orders/enquiry'
import type { OrderArtwork, OrderLine } from '@/lib/orders/order'
import { formatPieces, pieces } from '@/lib/orders/size-run'
import { formatFibres } from '@/lib/shop/blanks'
import { PLACEMENT } from '@/lib/shop/placements'
import { formatLength, type MeasureSystem, mm } from '@/lib/units/measure'
import styles from './counter.module.css'
import { LinePictures } from './line-pictures'

const picture = (id: string) => `/api/artwork/${id}/picture?size=480`

/** What is printed on what: each blank with its garment drawn to scale, its sizes and its prints. */
export function OrderLines({ lines, system }: { lines: readonly OrderLine[]; system: MeasureSystem }) {
  return lines.map(line => (
    <div key={line.id} className={styles.line}>
      <LinePictures
        system={system}
        picture={picture}
        line={{
          kind: line.style.kind,
          name: line.style.name,
          colour: line.colour,
          colourHex: line.colourHex,
          sizes: line.sizes,
          prints: line.prints.map(p => ({ ...p, artworkId: p.artwork?.id ?? null })),
        }}
      />
      <div className={styles.order}>
        <h3>
          {line.style.name}, {line.colour}
        </h3>
        <p>
          {formatPieces(pieces(line.sizes))}, {formatFibres(line.style.fibres)}
        </p>
        <SizeRun sizes={line.sizes} />
        {line.prints.map(print => (
          <dl key={print.id} className={styles.facts}>
            <dt>Print</dt>
            <dd>
              <strong>{PLACEMENT[print.placement].name}</strong>, {formatLength(mm(print.widthMm), system)} ×{' '}
              {formatLength(mm(print.heightMm), system)}, {formatLength(mm(print.dropMm), system)}{' '}
              {PLACEMENT[print.placement].measuredFrom}
              {Math.abs(print.offsetMm - PLACEMENT[print.placement].offsetMm) >= 0.05 &&
                `, ${offsetWords(print.offsetMm, system)}`}
              {print.bySize && print.bySize.length > 0 && `, on ${writeSizeRules(print.bySize, system)} wide`}
              <Remark line={line} print={print} />
            </dd>
            <dt>Artwork</dt>
            <dd>
              {print.artwork ? (
                <Link href={`/artdesk/${print.artwork.id}`}>{print.artwork.name}</Link>
              ) : (
                <StateMark state="risk">not in yet</StateMark>
              )}
            </dd>
            {print.artwork && (
              <>
                <dt>Rights</dt>
                <dd>
                  <Rights artwork={print.artwork} />
                </dd>
              </>
            )}
          </dl>
        ))}
      </div>
    </div>
  ))
}

/** Quantities by size, side by side. */
export function SizeRun({ sizes }: { sizes: readonly { size: string; quantity: number }[] }) {
  return (
    <ul className={styles.run} aria-label="Pieces by size">
      {sizes
        .filter(s => s.quantity > 0)
        .map(s => (
          <li key={s.size}>
            <span>{s.size}</span>
            <b>{s.quantity}</b>
          </li>
        ))}
    </ul>
  )
}

function Remark({ line, print }: { line: OrderLine; print: OrderLine['prints'][number] }) {
  const remark = remarkOnPrint(line.style.kind, line.sizes, print)
  return remark ? (
    <>
      <br />
      <StateMark state="risk">worth a look</StateMark> {remark}
    </>
  ) : null
}

/** On what basis an artwork may be sold. */
export function Rights({ artwork }: { artwork: OrderArtwork }) {
  const { rights } = artwork
  if (rights.basis)
    return (
      <StateMark state="done">
        {CLEARANCE_WORDS[rights.basis as ClearanceBasis]?.name ?? rights.basis}, {rights.byName}
      </StateMark>
    )
  return (
    <>
      <StateMark state="risk">{rights.takenBack ? 'taken back' : 'not recorded'}</StateMark>
      {rights.takenBack
        ? ' No offer is agreed until the art desk records a new basis.'
        : ' The customer may declare them with the offer, or the art desk records them.'}
    </>
  )
}
