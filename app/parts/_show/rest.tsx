import { Button } from '../button'
import { CopyButton } from '../copy-button'
import { Facts } from '../facts'
import { FileDrop } from '../file-drop'
import { KeyHint } from '../key-hint'
import { Pager } from '../pager'
import { Row, Stack } from '../row'
import { Section } from '../section'
import { SubNav } from '../sub-nav'

/** Ways around, facts, files. */
export function ShowRest() {
  return (
    <Section title="Ways around, facts, files">
      <Stack gap="large">
        <SubNav
          label="Order 1042"
          current="/parts"
          items={[
            { href: '/parts', label: 'Order' },
            { href: '/parts#art', label: 'Artwork', count: 2 },
            { href: '/parts#offer', label: 'Offer' },
            { href: '/parts#plan', label: 'Plan' },
            { href: '/parts#money', label: 'Money' },
          ]}
        />
        <Facts
          items={[
            { name: 'Customer', value: 'Quayside Rowing' },
            { name: 'Promised', value: 'Thu 14 May, 12:00' },
            { name: 'Pieces', value: 48 },
            { name: 'Paid', value: null },
          ]}
        />
        <FileDrop
          name="art"
          label="Artwork"
          accept="image/png"
          hint="PNG of up to 50 MB; 300 dots per inch at its printed size."
        />
        <CopyButton text="http://192.168.1.20:3000/offer/4f0c…" label="Address of the offer" />
        <Row align="middle">
          <Button look="primary" size="floor">
            Next piece <KeyHint keys="space" />
          </Button>
        </Row>
        <Pager page={2} size={50} total={1234} what="orders" href={p => `/parts?page=${p}`} />
      </Stack>
    </Section>
  )
}
