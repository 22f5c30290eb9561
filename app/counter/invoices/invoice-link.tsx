import Link from 'next/link'
import { INVOICE_WORDS, type InvoiceKind } from '@/lib/books/invoices/invoice'

/** An invoice or credit note by its number, with the way to it. */
export function InvoiceLink({ of }: { of: { id: string; kind: InvoiceKind; name: string } }) {
  return (
    <Link href={`/counter/invoices/${of.id}`}>
      {INVOICE_WORDS[of.kind]} {of.name}
    </Link>
  )
}
