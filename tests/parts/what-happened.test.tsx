import { renderToStaticMarkup } from 'react-dom/server'
import { describe, expect, it } from 'vitest'
import { WhatHappened } from '@/app/what-happened'
import type { Right, Role } from '@/lib/server/rights'

const line = (id: string, what: string, before: object, after: object) => ({
  ...{ id, what, before, after, byName: 'Ines', entity: 'order', ref: 'one' },
  at: new Date('2019-05-14T07:30:00Z'),
})
const shown = (role: Role, ...also: Right[]) =>
  renderToStaticMarkup(
    <WhatHappened
      about="this order"
      who={{ role, also }}
      facts={{ currency: 'EUR', timeZone: 'Europe/Lisbon' }}
      lines={[
        line('a', 'took €40.00 (deposit, cash)', { paid: 0 }, { paid: 4000 }),
        line('b', 'made offer 1001-1', { state: 'enquiry' }, { state: 'offered', net: 9920, cost: 6000 }),
      ]}
    />,
  )
    .replace(/<[^>]+>/g, ' ')
    .replace(/\s+/g, ' ')

describe('what happened to a thing', () => {
  it('says when, with the year, what, before and after, and who', () => {
    expect(shown('owner')).toContain(
      '14 May 2019, 08:30 took €40.00 (deposit, cash) Paid: €0.00 → €40.00 Ines',
    )
    expect(shown('owner')).toContain('Cost: €60.00')
  })
  it('shows what work costs to the owner alone, and money to those who may see it', () => {
    expect(shown('counter')).toContain('Before tax: €99.20')
    expect(shown('counter')).not.toContain('€60.00')
    expect(shown('press')).toContain('made offer 1001-1 State: enquiry → offered Ines')
    expect(shown('press')).not.toContain('€')
    expect(shown('press', 'prices.see')).toContain('Before tax: €99.20')
    expect(shown('press', 'prices.see')).not.toContain('€60.00')
  })
})
