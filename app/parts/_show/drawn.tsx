import { Bars } from '../bars'
import { DayStrip } from '../day-strip'
import { DrawnGarment } from '../drawn-garment'
import { Figure } from '../figure'
import { LineChart } from '../line-chart'
import { Mix } from '../mix'
import { OrderProgress } from '../order-progress'
import { Row, Stack } from '../row'
import { Scatter } from '../scatter'
import { Section } from '../section'
import { TimerFace } from '../timer-face'
import { Waterfall } from '../waterfall'
import { NOW, RANGE, STATIONS, THREADS, ZONE } from './day'
import { inkWorking } from './samples'

const ROUNDEL = `data:image/svg+xml,${encodeURIComponent(
  '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 254 190"><circle cx="127" cy="80" r="70" fill="none" stroke="#f2b63c" stroke-width="12" stroke-dasharray="26 12"/><path d="M47 90c30-30 60 20 90-4s50-10 70 2" fill="none" stroke="#e4572e" stroke-width="16" stroke-linecap="round"/><path d="M52 118c30-22 60 16 90-4s45-6 60 2" fill="none" stroke="#76a33a" stroke-width="13" stroke-linecap="round"/><path d="M40 176h174" stroke="#f4efe5" stroke-width="12"/></svg>',
)}`

const TEE = { widthMm: 559, collarToHemMm: 667 }
const front = { src: ROUNDEL, name: 'Tern roundel', widthMm: 254, heightMm: 190, dropMm: 57 }
const eur0 = (n: number) => `€${n}`
const eur = (n: number) => `€${n.toFixed(2)}`

const costs = [1, 2, 3, 5, 8, 10, 15, 20, 24, 31, 40, 50, 72, 100, 144, 200, 300, 500]
const line = (key: string, name: string, setup: number, each: number) => ({
  key,
  name,
  points: costs.map(x => ({ x, y: setup / x + each })),
})

/** What is drawn: garments, the day, charts, progress, the timer's face. */
export function ShowDrawn() {
  return (
    <>
      <Section title="Garments, to scale">
        <Row gap="large">
          <DrawnGarment
            about="Black cotton tee, L"
            kind="tee"
            outline={TEE}
            cloth="#141416"
            prints={[front]}
          />
          <DrawnGarment
            about="White tee, L"
            kind="tee"
            outline={TEE}
            cloth="#fbfaf7"
            prints={[{ name: 'left chest', widthMm: 89, heightMm: 70, dropMm: 85, offsetMm: 100 }]}
          />
          <DrawnGarment
            about="Rust tee, L"
            kind="tee"
            side="back"
            outline={TEE}
            cloth="#b0502b"
            system="imperial"
            prints={[{ ...front, dropMm: 89, widthMm: 305, heightMm: 228 }]}
          />
          <DrawnGarment
            about="Teal hoodie, L"
            kind="hoodie"
            width={300}
            outline={{ widthMm: 609, collarToHemMm: 667 }}
            cloth="#2b6a6c"
            prints={[front]}
          />
          <DrawnGarment
            about="Natural tote"
            kind="tote"
            width={220}
            outline={{ widthMm: 380, collarToHemMm: 420 }}
            cloth="#e6dcc3"
            prints={[{ name: 'bag front', widthMm: 229, heightMm: 180, dropMm: 76 }]}
          />
          <DrawnGarment
            about="White mug"
            kind="mug"
            width={300}
            outline={{ widthMm: 240, collarToHemMm: 96 }}
            cloth="#ffffff"
            prints={[{ name: 'wrap', widthMm: 200, heightMm: 70, dropMm: 5 }]}
          />
        </Row>
        <Row gap="large">
          {(['long-sleeve', 'sweatshirt', 'polo', 'tank', 'apron', 'plate', 'bottle', 'sock'] as const).map(
            kind => (
              <DrawnGarment
                key={kind}
                about={kind}
                kind={kind}
                width={130}
                plain
                outline={
                  {
                    apron: { widthMm: 300, collarToHemMm: 300 },
                    plate: { widthMm: 200, collarToHemMm: 200 },
                    bottle: { widthMm: 230, collarToHemMm: 180 },
                    sock: { widthMm: 90, collarToHemMm: 330 },
                  }[kind as 'apron'] ?? TEE
                }
                cloth="#8fa3ad"
                prints={
                  kind === 'long-sleeve'
                    ? [{ ...front, widthMm: 90, heightMm: 67, dropMm: 60, onSleeve: true }]
                    : []
                }
              />
            ),
          )}
          {(['hoodie', 'polo', 'tank'] as const).map(kind => (
            <DrawnGarment
              key={kind}
              about={kind}
              kind={kind}
              side="back"
              width={130}
              plain
              outline={TEE}
              cloth="#3d3a52"
            />
          ))}
        </Row>
      </Section>
      <Section title="The day, by station">
        <DayStrip
          label="Thursday 14 May, by station"
          range={RANGE}
          zone={ZONE}
          now={NOW}
          stations={STATIONS}
          threads={THREADS}
        />
      </Section>
      <Section title="Charts">
        <Stack gap="large">
          <LineChart
            title="Cost of a piece by quantity"
            xLabel="pieces"
            yLabel="cost of a piece"
            formatY={eur}
            log
            lines={[
              line('transfer', 'Transfer', 9, 6.9),
              line('dtg', 'To garment', 3, 8.2),
              line('screen', 'Screen print', 92, 4.1),
              line('out', 'Sent out', 40, 6.1),
            ]}
            mark="screen"
            at={{ x: 24, text: 'this order, 24' }}
            crossings={[
              { x: 5, y: 8.8, text: 'Transfer is cheaper than printing to garment from 5 pieces.' },
              { x: 31, y: 7.07, text: 'Screen print is the cheapest from 31 pieces.' },
            ]}
            tableAt={[1, 5, 10, 24, 31, 50, 100, 500]}
          />
          <Waterfall
            title="April: from revenue to margin"
            items={[
              {
                key: 'r',
                label: 'Revenue',
                value: 1824050,
                total: true,
                shown: <Figure value="€18,240.50" working={inkWorking} about="revenue" />,
              },
              { key: 'b', label: 'Blanks', value: -604210, shown: '−€6,042.10' },
              { key: 'c', label: 'Consumables', value: -98030, shown: '−€980.30' },
              { key: 'l', label: 'Labour', value: -512000, shown: '−€5,120.00' },
              { key: 'm', label: 'Machines', value: -166040, shown: '−€1,660.40' },
              { key: 's', label: 'Spoilage', value: -31260, shown: '−€312.60' },
              { key: 'f', label: 'Freight billed', value: 24000, shown: '+€240.00' },
              { key: 'g', label: 'Margin', value: 436510, total: true, shown: '€4,365.10' },
            ]}
          />
          <Bars
            title="Misprints by cause"
            running
            items={[
              { key: 'al', label: 'alignment', value: 14, shown: 14, tone: 'action' },
              { key: 'he', label: 'heat', value: 9, shown: 9 },
              { key: 'bl', label: 'blank', value: 4, shown: 4 },
              { key: 'ar', label: 'art', value: 2, shown: 2 },
            ]}
          />
          <Mix
            title="Methods by month"
            parts={['screen print', 'transfer', 'to garment', 'sublimation']}
            rows={[
              { key: '2', label: 'February', values: [9200, 4100, 1800, 600], shown: '€15,700' },
              { key: '3', label: 'March', values: [7400, 5200, 2100, 900], shown: '€15,600' },
              { key: '4', label: 'April', values: [10100, 4300, 3000, 840], shown: '€18,240' },
            ]}
            scaled
          />
          <Scatter
            title="Margin against revenue, by order"
            xLabel="revenue"
            yLabel="margin"
            formatX={eur0}
            formatY={eur0}
            dots={[
              { key: '1', x: 612, y: 210, name: '1042 Quayside Rowing', href: '#o1' },
              { key: '2', x: 1860, y: -64, name: '1044 Northside', named: true, tone: 'late', href: '#o2' },
              { key: '3', x: 974, y: 310, name: '1049 Lowtide', href: '#o3' },
              { key: '4', x: 448, y: 160, name: '1058 Harbour Jazz', href: '#o4' },
              { key: '5', x: 1290, y: 690, name: '1055 Moss & Daughters', named: true, href: '#o5' },
              { key: '6', x: 88, y: 31, name: '1056 M. Okafor', href: '#o6' },
            ]}
          />
          <Bars
            title="Margin by order"
            items={[
              { key: '1', label: '1042 Quayside Rowing', value: 210, shown: '€210.00' },
              { key: '2', label: '1044 Northside', value: -64, shown: '−€64.00', tone: 'late' },
            ]}
          />
        </Stack>
      </Section>
      <Section title="Progress of an order">
        <Stack gap="large">
          <OrderProgress
            state="making"
            times={{ enquiry: 'Mon 4 May', offered: 'Tue 5 May', agreed: 'Thu 7 May', making: 'today' }}
          />
          <OrderProgress state="declined" last="offered" times={{ declined: 'Fri 8 May' }} />
        </Stack>
      </Section>
      <Section title="The face of the press timer">
        <Stack>
          <TimerFace
            state="running"
            seconds={9}
            total={16}
            words="press closed"
            piece={11}
            pieces={24}
            next="M, then 6 × L"
          />
          <TimerFace
            state="settling"
            seconds={40}
            total={60}
            words="let it settle, do not peel yet"
            piece={3}
            pieces={60}
          />
          <TimerFace state="over" seconds={0} total={16} words="peel now, hot" piece={11} pieces={24} />
        </Stack>
      </Section>
    </>
  )
}
