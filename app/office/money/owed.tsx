import Link from 'next/link'
import { Bars } from '@/app/parts/bars'
import { DataTable } from '@/app/parts/data-table'
import { Section } from '@/app/parts/section'
import { AGE_WORDS, AGES, type owedByCustomer } from '@/lib/books/invoices/owed'
import { type Minor, sumMinor } from '@/lib/units/money'
import { money } from '../show'

type Owed = ReturnType<typeof owedByCustomer>

const sumOf = (rows: Owed, of: (r: Owed[number]) => Minor): Minor => sumMinor(rows.map(of))

/** Every customer with something open or paid ahead: how much, and for how long. */
export function WhoOwes({ rows, currency }: { rows: Owed; currency: string }) {
  const show = (n: Minor) => money(n, currency)
  const total = (of: (r: Owed[number]) => Minor) => sumOf(rows, of)
  return (
    <Section title="Who owes what">
      <DataTable
        caption="By customer and age, whoever owes most first"
        quietCaption
        rows={rows}
        rowKey={r => r.customerId}
        empty="Nobody owes anything, and nothing was paid ahead."
        mark={r => (r.byAge['over 90'] > 0 ? 'late' : undefined)}
        columns={[
          {
            key: 'customer',
            head: 'Customer',
            rowHead: true,
            wrap: true,
            cell: r => (
              <>
                <Link href={`/counter/customers/${r.customerId}`}>{r.customer}</Link>
                {r.invoices.map(v => (
                  <small key={v.id}>
                    {' '}
                    <Link href={`/counter/invoices/${v.id}`}>{v.name}</Link>
                  </small>
                ))}
                {r.toInvoice.map(o => (
                  <small key={o.number}>
                    {' '}
                    <Link href={`/counter/orders/${o.number}#invoices`}>order {o.number}</Link>
                  </small>
                ))}
              </>
            ),
            foot: 'All',
          },
          ...AGES.map(age => ({
            key: age,
            head: AGE_WORDS[age],
            numeric: true,
            sort: (r: Owed[number]) => r.byAge[age],
            cell: (r: Owed[number]) => (r.byAge[age] === 0 ? '–' : show(r.byAge[age])),
            foot: show(total(r => r.byAge[age])),
          })),
          {
            key: 'open',
            head: 'Invoiced, open',
            numeric: true,
            sort: r => r.open,
            cell: r => (r.open === 0 ? '–' : show(r.open)),
            foot: show(total(r => r.open)),
          },
          {
            key: 'out',
            head: 'Out, not invoiced',
            numeric: true,
            sort: r => r.notInvoiced,
            cell: r => (r.notInvoiced === 0 ? '–' : show(r.notInvoiced)),
            foot: show(total(r => r.notInvoiced)),
          },
          {
            key: 'ahead',
            head: 'Paid ahead',
            numeric: true,
            sort: r => r.ahead,
            cell: r => (r.ahead === 0 ? '–' : show(r.ahead)),
            foot: show(total(r => r.ahead)),
          },
        ]}
      />
    </Section>
  )
}

/** What is open by how long it is late. */
export function OwedByAge({ rows, currency }: { rows: Owed; currency: string }) {
  const show = (n: Minor) => money(n, currency)
  return (
    <Section title="By age">
      <Bars
        title="Open invoices by how long they are late"
        items={AGES.map(age => {
          const amount = sumOf(rows, r => r.byAge[age])
          return {
            key: age,
            label: AGE_WORDS[age],
            value: amount,
            shown: show(amount),
            ...(age === 'over 90' && amount > 0 ? { tone: 'late' as const } : {}),
          }
        })}
      />
    </Section>
  )
}
