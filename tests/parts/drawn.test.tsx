import { renderToStaticMarkup } from 'react-dom/server'
import { describe, expect, it } from 'vitest'
import { Bars } from '@/app/parts/bars'
import { DataTable } from '@/app/parts/data-table'
import { DayStrip, type StripRun } from '@/app/parts/day-strip'
import { DrawnGarment } from '@/app/parts/drawn-garment'
import { Figure } from '@/app/parts/figure'
import { LineChart } from '@/app/parts/line-chart'
import { Mix } from '@/app/parts/mix'
import { OrderProgress } from '@/app/parts/order-progress'
import { Pager } from '@/app/parts/pager'
import { Scatter } from '@/app/parts/scatter'
import { StateMark } from '@/app/parts/state-mark'
import { Waterfall } from '@/app/parts/waterfall'
import { atTime, shopDay } from '@/lib/units/time'

const text = (html: string) => html.replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ')

describe('a state', () => {
  it.each([
    ['enquiry', 'enquiry'],
    ['offered', 'offered'],
    ['agreed', 'agreed'],
    ['making', 'making'],
    ['ready', 'ready'],
    ['handedOver', 'handed over'],
    ['declined', 'declined'],
    ['withdrawn', 'withdrawn'],
    ['late', 'late'],
    ['risk', 'at risk'],
    ['done', 'done'],
  ] as const)('%s is a sign and a word, never colour alone', (state, word) => {
    const html = renderToStaticMarkup(<StateMark state={state} />)
    expect(html).toMatch(/<svg[^>]*aria-hidden="true"/)
    expect(text(html)).toContain(word)
  })
})

describe('a figure', () => {
  const working = {
    formula: 'a × b',
    inputs: [
      { name: 'a', value: '2 g', from: 'measured' as const },
      {
        name: 'b',
        value: '3',
        from: 'published' as const,
        source: 'a textbook',
        working: { formula: '1 + 2', inputs: [], result: '3' },
      },
    ],
    result: '6 g',
  }
  it('opens its working by a button that names what it opens', () => {
    const html = renderToStaticMarkup(<Figure value="6" unit="g" working={working} about="ink" />)
    const target = /popoverTarget="([^"]+)"/i.exec(html)?.[1]
    expect(html).toContain(`id="${target}" popover="auto"`)
    expect(text(html)).toContain('show the working of ink')
  })
  it('shows formula, inputs with their origin and source, deeper workings and the result', () => {
    const said = text(renderToStaticMarkup(<Figure value="6" working={working} />))
    for (const words of ['a × b', 'measured here', 'a textbook', 'how b came about', '1 + 2', '6 g'])
      expect(said).toContain(words)
  })
  it('is a plain number where there is no working', () => {
    expect(renderToStaticMarkup(<Figure value="6" />)).not.toContain('<button')
  })
})

describe('a table', () => {
  const columns = [
    { key: 'n', head: 'Order', cell: (r: { n: number }) => r.n, rowHead: true },
    { key: 'm', head: 'Margin', cell: (r: { n: number }) => r.n * 2, numeric: true, foot: 12 },
  ]
  it('has a caption, headings with a scope, a heading in each row, and its foot', () => {
    const html = renderToStaticMarkup(
      <DataTable caption="Orders" columns={columns} rows={[{ n: 1 }, { n: 5 }]} rowKey={r => String(r.n)} />,
    )
    expect(html).toMatch(/<caption[^>]*>.*Orders/)
    expect(html.match(/scope="col"/g)).toHaveLength(2)
    expect(html.match(/scope="row"/g)).toHaveLength(2)
    expect(html).toMatch(/<tfoot>.*12/)
  })
  it('says in a sentence that there is nothing', () => {
    const html = renderToStaticMarkup(
      <DataTable caption="Orders" columns={columns} rows={[]} rowKey={() => ''} empty="No orders yet." />,
    )
    expect(html).not.toContain('<table')
    expect(text(html)).toContain('No orders yet.')
  })
  it('says how it is sorted, and links to the other direction', () => {
    const html = renderToStaticMarkup(
      <DataTable
        caption="Orders"
        columns={columns}
        rows={[{ n: 1 }]}
        rowKey={r => String(r.n)}
        order={{ key: 'n' }}
        orderHref={(key, down) => `/x?sort=${key}&down=${down}`}
      />,
    )
    expect(html).toContain('aria-sort="ascending"')
    expect(html).toContain('sort=n&amp;down=true')
    expect(html).toContain('sort=m&amp;down=false')
  })
})

describe('the day strip', () => {
  const zone = 'Europe/Lisbon'
  const at = (t: string) => atTime(shopDay('2026-05-14'), t, zone)
  const run: StripRun = {
    id: 'r',
    order: '1044',
    who: 'Northside',
    quantity: '240 pcs',
    detail: 'screen, 3 inks',
    href: '/floor/r',
    start: at('13:00'),
    work: at('13:30'),
    end: at('18:00'),
    changeover: 'wash-up',
    state: 'running',
    standing: 'late',
    progress: 0.5,
  }
  const draw = (runs: StripRun[]) =>
    renderToStaticMarkup(
      <DayStrip
        label="Thursday"
        range={{ from: at('08:00'), to: at('16:00') }}
        zone={zone}
        now={at('14:00')}
        stations={[
          { id: 's', name: 'Screen press', open: [{ from: at('08:00'), to: at('17:00') }], runs },
          { id: 'd', name: 'Dryer', open: [], runs: [] },
        ]}
        threads={[{ from: 'r', to: 'nowhere', what: 'cures', minutes: 30 }]}
      />,
    )
  it('says of a run all that it draws', () => {
    expect(draw([run])).toContain(
      'aria-label="1044 Northside, 240 pcs, screen, 3 inks, 13:30 to 18:00, running, late, 50% done, changeover wash-up from 13:00, then cures 30 min"',
    )
  })
  it('draws it to scale, cut at the end of the strip', () => {
    // 13:30 to 16:00 of 08:00 to 16:00; its changeover from 13:00.
    expect(draw([run])).toContain('left:68.750%;width:31.250%')
    expect(draw([run])).toContain('left:62.500%;width:6.250%')
  })
  it('leaves out what is not in its range', () => {
    expect(draw([{ ...run, start: at('05:00'), work: at('05:00'), end: at('08:00') }])).not.toContain('1044')
  })
  it('shows of a run what it surely has room for: ten rem take number, sign, pieces and customer, not the work', () => {
    const shown = text(draw([run]))
    expect(shown).toMatch(/1044 .*240 pcs .*Northside/)
    expect(shown).not.toContain('screen, 3 inks')
  })
  it('says that a station has no runs', () => {
    expect(text(draw([]))).toContain('Dryer no runs')
  })
})

describe('a drawn garment', () => {
  it('says what stands where, in the shop’s units', () => {
    const html = renderToStaticMarkup(
      <DrawnGarment
        about="Black tee, L"
        kind="tee"
        outline={{ widthMm: 559, collarToHemMm: 667 }}
        cloth="#101010"
        system="imperial"
        prints={[
          { name: 'left chest', widthMm: 88.9, heightMm: 76.2, dropMm: 76.2, offsetMm: 101.6, src: '/a.png' },
        ]}
      />,
    )
    expect(html).toContain(
      'aria-label="Black tee, L. left chest: 3.5 × 3 in, 3 in below the collar seam, 4 in to the wearer’s left"',
    )
    expect(html).toContain('<image href="/a.png" x="57.1" y="76.2" width="88.9" height="76.2"')
  })
})

describe('the fall from revenue to margin', () => {
  it('starts each step where the last one ended', () => {
    const html = renderToStaticMarkup(
      <Waterfall
        title="April"
        items={[
          { key: 'r', label: 'Revenue', value: 100, total: true, shown: '100' },
          { key: 'b', label: 'Blanks', value: -40, shown: '−40' },
          { key: 'l', label: 'Labour', value: -80, shown: '−80' },
          { key: 'm', label: 'Margin', value: -20, total: true, shown: '−20' },
        ]}
      />,
    )
    const bars = [...html.matchAll(/bar[^>]*left:([\d.]+)%;width:([\d.]+)%/g)].map(m => [
      Number(m[1]),
      Number(m[2]),
    ])
    // The axis runs from −20 to 100.
    const at = (v: number) => ((v + 20) / 120) * 100
    expect(bars.map(b => b.map(v => Math.round(v * 100) / 100))).toEqual(
      [
        [at(0), at(100) - at(0)],
        [at(60), at(100) - at(60)],
        [at(-20), at(60) - at(-20)],
        [at(-20), at(0) - at(-20)],
      ].map(b => b.map(v => Math.round(v * 100) / 100)),
    )
  })
})

describe('bars', () => {
  it('add the running share of the whole', () => {
    const said = text(
      renderToStaticMarkup(
        <Bars
          title="Causes"
          running
          items={[
            { key: 'a', label: 'heat', value: 6, shown: 6 },
            { key: 'b', label: 'art', value: 2, shown: 2 },
          ]}
        />,
      ),
    )
    expect(said).toContain('heat 6 75%')
    expect(said).toContain('art 2 100%')
  })
  it('draw nothing wrong from nothing', () => {
    expect(renderToStaticMarkup(<Bars title="Causes" items={[]} />)).not.toContain('NaN')
  })
})

describe('a line chart', () => {
  it('holds the numbers in a table beside, and says its crossings', () => {
    const points = [1, 10, 100].map(x => ({ x, y: 100 / x + 5 }))
    const html = renderToStaticMarkup(
      <LineChart
        title="Cost"
        xLabel="pieces"
        yLabel="cost"
        log
        formatY={y => y.toFixed(2)}
        lines={[{ key: 's', name: 'Screen', points }]}
        crossings={[{ x: 10, y: 15, text: 'Screen is cheaper from 10 pieces.' }]}
      />,
    )
    expect(text(html)).toContain('Screen is cheaper from 10 pieces.')
    expect(text(html)).toMatch(/1 105\.00 10 15\.00 100 6\.00/)
    expect(html).not.toContain('NaN')
  })
  it('says so when there is nothing to draw', () => {
    expect(renderToStaticMarkup(<LineChart title="t" xLabel="x" yLabel="y" lines={[]} />)).toContain(
      'nothing to draw',
    )
  })
})

describe('the progress of an order', () => {
  it('marks where it is', () => {
    const html = renderToStaticMarkup(<OrderProgress state="making" />)
    expect(text(/<li[^>]*aria-current="step".*?<\/li>/.exec(html)?.[0] ?? '')).toContain('making')
  })
  it('ends where an order was declined', () => {
    const html = renderToStaticMarkup(<OrderProgress state="declined" last="offered" />)
    expect(html.match(/<li/g)).toHaveLength(3)
    expect(text(html)).not.toContain('handed over')
  })
})

describe('a pager', () => {
  const href = (p: number) => `/x?page=${p}`
  it('says which rows stand here, and leads to the ones before and after', () => {
    const html = renderToStaticMarkup(<Pager page={2} size={50} total={120} href={href} what="orders" />)
    expect(text(html)).toContain('51 to 100 of 120 orders')
    expect(html).toContain('/x?page=1')
    expect(text(html)).toContain('Next 20')
  })
  it('is not there when all fits on one page', () => {
    expect(renderToStaticMarkup(<Pager page={1} size={50} total={50} href={href} what="orders" />)).toBe('')
  })
  it('leads back from beyond the end', () => {
    const html = renderToStaticMarkup(<Pager page={9} size={50} total={120} href={href} what="orders" />)
    expect(text(html)).toContain('No orders on this page')
    expect(html).toContain('/x?page=3')
  })
})

describe('the mix of methods', () => {
  const rows = [
    { key: 'a', label: 'March', values: [3, 1], shown: '€4' },
    { key: 'b', label: 'April', values: [0, 2], shown: '€2' },
    { key: 'c', label: 'May', values: [0, 0], shown: '€0' },
  ]
  const html = renderToStaticMarkup(<Mix title="Mix" parts={['screen', 'transfer']} rows={rows} scaled />)
  it('says every share in the table', () => {
    expect(text(html)).toMatch(
      /March €4 screen 75%, transfer 25%.*April €2 screen 0%, transfer 100%.*May €0 screen 0%, transfer 0%/,
    )
  })
  it('draws rows as long as their whole, and nothing of nothing', () => {
    expect([...html.matchAll(/bar_[^"]*" style="width:([\d.]+)%"/g)].map(m => m[1])).toEqual([
      '100',
      '50',
      '0',
    ])
    expect(html).not.toContain('NaN')
  })
})

describe('dots', () => {
  it('say both their numbers, named or not', () => {
    const html = renderToStaticMarkup(
      <Scatter
        title="Margin"
        xLabel="revenue"
        yLabel="margin"
        dots={[
          { key: '1', x: 100, y: -20, name: '1042', href: '/o/1042' },
          { key: '2', x: 200, y: 50, name: '1043', named: true },
        ]}
      />,
    )
    expect(text(html)).toContain('1042: revenue 100, margin -20')
    expect(text(html)).toContain('1043: revenue 200, margin 50')
    expect(html).toContain('href="/o/1042"')
  })
})
