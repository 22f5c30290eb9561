import { formatMoney, type Micro, microToMinor } from '@/lib/units/money'
import { formatAmount, typedAmount } from './items'
import type { PurchaseLine } from './purchase'

/** What a supplier reads of a purchase. */
export type PurchasePaper = {
  number: number
  shop: string
  supplier: string
  /** Lines of the supplier's address; empty: not known. */
  address: string
  /** Days as words. */
  ordered: string
  due: string | null
  note: string
  currency: string
  paper: 'a4' | 'letter'
  lines: (Pick<PurchaseLine, 'name' | 'unit' | 'quantity' | 'value'> & { sku: string })[]
  total: Micro
}

/** A line as it is ordered: "24 × T180-WHI-M, Tee, white, M". */
export const orderedWords = ({ quantity, unit, sku, name }: PurchasePaper['lines'][number]): string =>
  `${unit === 'piece' ? `${typedAmount(quantity, unit)} ×` : formatAmount(quantity, unit)} ${sku}, ${name}`

/** The order as a message, ready to send. */
export function purchaseMessage(p: PurchasePaper): { subject: string; body: string } {
  const money = (n: Micro) => formatMoney(microToMinor(n, p.currency), p.currency)
  return {
    subject: `Order ${p.number} from ${p.shop}`,
    body: [
      'Hello,',
      '',
      `please send us${p.due ? ` by ${p.due}` : ''}:`,
      '',
      ...p.lines.map(l => `- ${orderedWords(l)}: ${money(l.value)}`),
      '',
      `Together ${money(p.total)} before tax, as we know your prices. Tell us before you send if something costs more or is not there.`,
      ...(p.note ? ['', p.note] : []),
      '',
      `Our order number is ${p.number}: please put it on the parcel and the invoice.`,
      '',
      'Thank you,',
      p.shop,
    ].join('\n'),
  }
}

/** What came wrong, damaged or not at all. */
export const TROUBLES = ['wrong', 'damaged', 'missing'] as const
export type TroubleKind = (typeof TROUBLES)[number]
export const TROUBLE_WORDS: Record<TroubleKind, string> = {
  wrong: 'not what was ordered',
  damaged: 'damaged',
  missing: 'not in the parcel',
}
/** What becomes of it. */
export const OUTCOMES = ['replace', 'credit'] as const
export type Outcome = (typeof OUTCOMES)[number]
export const OUTCOME_WORDS: Record<Outcome, string> = {
  replace: 'to be sent again',
  credit: 'credited, no longer expected',
}

/** What the supplier is told of it, ready to send. */
export function troubleMessage(
  p: Pick<PurchasePaper, 'number' | 'shop'>,
  troubles: readonly {
    name: string
    sku: string
    unit: PurchaseLine['unit']
    quantity: number
    kind: TroubleKind
    outcome: Outcome
    note: string
  }[],
): { subject: string; body: string } {
  return {
    subject: `Order ${p.number} from ${p.shop}: something was wrong`,
    body: [
      'Hello,',
      '',
      `of our order ${p.number}:`,
      '',
      ...troubles.map(
        t =>
          `- ${formatAmount(t.quantity, t.unit)} × ${t.sku}, ${t.name}: ${TROUBLE_WORDS[t.kind]}${t.note ? ` (${t.note})` : ''}. ` +
          (t.outcome === 'replace' ? 'Please send them again.' : 'Please credit them.'),
      ),
      '',
      'Thank you,',
      p.shop,
    ].join('\n'),
  }
}
