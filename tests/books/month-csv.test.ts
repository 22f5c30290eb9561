import { parse } from 'csv-parse/sync'
import { expect, it } from 'vitest'
import { assembleMonth } from '@/lib/books/month'
import { monthCsv } from '@/lib/books/month-csv'
import { micro, minor } from '@/lib/units/money'
import { dayOf, instant, shopMonth } from '@/lib/units/time'
import { anOrder, NO_LEDGERS, NOTHING_CARRIED } from './an-order'

it('the file is the table: a row for each order and late entry, and a total that is their sum', () => {
  const report = assembleMonth({
    month: shopMonth('2026-05'),
    currency: 'EUR',
    orders: [
      anOrder({ customer: '=HYPERLINK("x")', title: 'Tees, "red"' }),
      anOrder({ number: 1002, revenue: minor(9_000) }),
    ],
    late: [
      {
        orderNumber: 990,
        ownMonth: shopMonth('2026-04'),
        kind: 'freight',
        amount: micro(12_500_000),
        at: instant(Date.UTC(2026, 4, 3)),
        byName: 'Ines',
      },
    ],
    ledgers: NO_LEDGERS,
    carried: NOTHING_CARRIED,
    methodWords: m => m ?? '',
  })
  const rows = parse(
    monthCsv(
      report,
      at => dayOf(at, 'Europe/Lisbon'),
      m => m ?? '',
    ),
    {
      bom: true,
      columns: true,
    },
  ) as Record<string, string>[]
  expect(rows.map(r => r.order)).toEqual(['1001', '1002', '990', 'total'])
  expect(rows[0]).toMatchObject({
    customer: `'=HYPERLINK("x")`,
    title: 'Tees, "red"',
    'handed over': '2026-05-14',
    'revenue EUR': '300.00',
    'blanks EUR': '72.00',
    'margin EUR': '161.20',
    'labour hours': '1.50',
  })
  expect(rows[2]).toMatchObject({
    title: 'late entry for April 2026',
    'freight EUR': '12.50',
    'margin EUR': '-12.50',
  })
  for (const column of Object.keys(rows[0] ?? {}).filter(c => c.endsWith(' EUR'))) {
    const cents = rows.map(r => Math.round(Number(r[column]) * 100))
    expect(cents.at(-1)).toBe(cents.slice(0, -1).reduce((a, b) => a + b, 0))
  }
})
