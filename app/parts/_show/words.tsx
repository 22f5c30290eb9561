import { Button, ButtonLink } from '../button'
import { DataTable } from '../data-table'
import { EmptyState } from '../empty-state'
import { Figure } from '../figure'
import { Notice } from '../notice'
import { PageHead } from '../page-head'
import { Columns, Row, Stack } from '../row'
import { Section } from '../section'
import { StateMark } from '../state-mark'
import { Ticket } from '../ticket'
import { inkWorking, orders } from './samples'

const money = (n: number) => `€${(n / 100).toFixed(2)}`

/** Heads, buttons, states, notices, figures, tables, tickets. */
export function ShowWords() {
  return (
    <>
      <PageHead
        title="Thursday 14 May"
        sense="23 runs, 9 done. The plan is at most 4% from the best possible."
        mark={<StateMark state="late">1 late</StateMark>}
        back={{ href: '/parts', label: 'The week' }}
        more={<Button>Add a rush</Button>}
        next={
          <ButtonLink href="#states" look="primary">
            Start next: 1047 on press A
          </ButtonLink>
        }
      />
      <Section title="Buttons">
        <Stack>
          <Row align="middle">
            <Button look="primary">Save the order</Button>
            <Button>Add a line</Button>
            <Button look="quiet">Leave it</Button>
            <Button look="danger">Withdraw the order</Button>
            <Button look="primary" pending>
              Saving
            </Button>
            <Button disabled>Nothing to send</Button>
            <Button size="small">Small</Button>
          </Row>
          <Row align="middle">
            <Button look="primary" size="floor">
              Next piece
            </Button>
            <Button size="floor">Misprint</Button>
            <Button size="floor">Pause</Button>
          </Row>
        </Stack>
      </Section>
      <Section title="States" id="states">
        <Row gap="large" align="base">
          {(
            [
              'enquiry',
              'offered',
              'agreed',
              'making',
              'ready',
              'handedOver',
              'declined',
              'withdrawn',
              'late',
              'risk',
              'done',
            ] as const
          ).map(s => (
            <StateMark key={s} state={s} />
          ))}
          <StateMark state="risk">71% by 16:00</StateMark>
        </Row>
      </Section>
      <Section title="Notices">
        <Stack>
          <Notice kind="caution" title="Hot platen.">
            Gloves for the pad side; keep the other hand off the frame. Follow the film’s data sheet.
          </Notice>
          <Notice kind="stop" action={<ButtonLink href="#states">Record the rights</ButtonLink>}>
            Nobody has recorded whose artwork this is, so the offer cannot be agreed.
          </Notice>
          <Notice>Blanks for 1061 come on Friday; the plan starts it then.</Notice>
          <Notice kind="done">Order 1042 is packed.</Notice>
        </Stack>
      </Section>
      <Section title="Figures">
        <Stack>
          <Row gap="large" align="base">
            <Figure label="Margin" value="€412.60" working={inkWorking} />
            <Figure label="Ink" value="1.58" unit="g a piece" working={inkWorking} />
            <Figure label="Late" value="4 h 10" unit="min" tone="late" />
            <Figure label="Pieces" value="240" note="of 246 blanks" />
          </Row>
          <Row gap="large" align="base">
            <Figure size="arm" label="Heat" value="150" unit="°C" />
            <Figure size="arm" label="Dwell" value="16" unit="s" working={inkWorking} />
            <Figure size="arm" label="Peel" value="hot" />
          </Row>
        </Stack>
      </Section>
      <Section title="Tables">
        <Stack gap="large">
          <DataTable
            caption="Orders of the week"
            rows={orders}
            rowKey={o => o.order}
            mark={o => o.standing}
            columns={[
              {
                key: 'order',
                head: 'Order',
                cell: o => <a href="#states">{o.order}</a>,
                rowHead: true,
                sort: o => o.order,
              },
              { key: 'customer', head: 'Customer', cell: o => o.customer, wrap: true, sort: o => o.customer },
              { key: 'state', head: 'State', cell: o => <StateMark state={o.state} /> },
              {
                key: 'standing',
                head: 'Promise',
                cell: o =>
                  o.standing === 'late' || o.standing === 'risk' ? (
                    <StateMark state={o.standing}>{o.promise}</StateMark>
                  ) : (
                    o.promise
                  ),
              },
              {
                key: 'pieces',
                head: 'Pieces',
                numeric: true,
                cell: o => o.pieces,
                sort: o => o.pieces,
                foot: 384,
              },
              {
                key: 'total',
                head: 'Total',
                numeric: true,
                cell: o =>
                  o.total ? (
                    <Figure value={money(o.total)} working={inkWorking} about={`total of ${o.order}`} />
                  ) : (
                    '–'
                  ),
                sort: o => o.total || null,
                foot: '€3,894.70',
              },
            ]}
          />
          <DataTable
            caption="Purchases on the way"
            rows={[]}
            rowKey={() => ''}
            columns={[]}
            empty="Nothing is on the way. Short blanks turn up here as a proposal when an order is agreed."
          />
        </Stack>
      </Section>
      <Section title="Tickets">
        <Columns least={17} most={26}>
          <Ticket
            number="1051"
            title="Tern Bakery"
            href="#states"
            mark={<StateMark state="making" />}
            tone="now"
            foot={<span>Heat press A, 24 pieces</span>}
          >
            Full front, black cotton tee
          </Ticket>
          <Ticket
            number="1044"
            title="Northside Half Marathon"
            tone="late"
            mark={<StateMark state="late">4 h 10</StateMark>}
            href="#states"
          >
            240 pieces, screen, 3 inks
          </Ticket>
          <Ticket number="1049" title="Lowtide Swim Club" tone="risk" mark={<StateMark state="risk" />}>
            60 pieces, sublimation
          </Ticket>
          <Ticket number="1042" title="Quayside Rowing" tone="done" mark={<StateMark state="done" />}>
            48 pieces, transfer
          </Ticket>
          <Ticket number="1047" title="Alder School" torn="right">
            110 pieces; goes on tomorrow
          </Ticket>
        </Columns>
      </Section>
      <Section title="Empty">
        <EmptyState
          title="No enquiries yet"
          action={
            <ButtonLink href="#states" look="primary">
              Take the first enquiry
            </ButtonLink>
          }
        >
          Whatever a customer asks for starts here: a blank, a size run, a picture.
        </EmptyState>
      </Section>
    </>
  )
}
