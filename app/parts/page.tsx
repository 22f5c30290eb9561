import type { Metadata } from 'next'
import { cookies } from 'next/headers'
import { ShowDrawn } from './_show/drawn'
import { ShowForms } from './_show/forms'
import { ShowRest } from './_show/rest'
import { ShowWords } from './_show/words'
import { PALETTE_COOKIE } from './palette'
import { RoomPage } from './room-page'
import { Section } from './section'
import { Shell } from './shell'
import { StateMark } from './state-mark'

export const metadata: Metadata = { title: 'Parts' }

/** Every part, for contributors: change one and look here first, by day and by night. */
export default async function PartsPage() {
  const palette = (await cookies()).get(PALETTE_COOKIE)?.value
  return (
    <Shell
      shopName="Harbour Lane Print Works"
      room="floor"
      waiting={{ artdesk: 3, counter: 12 }}
      person={{ name: 'Ines', role: 'press' }}
      menu={[{ href: '/parts', label: 'All parts' }]}
      palette={palette === 'day' || palette === 'night' ? palette : undefined}
      demo={{ leave: '/parts' }}
    >
      <RoomPage
        sideLabel="Can’t start yet"
        side={
          <Section title="Can’t start yet" level={3}>
            <p>
              <b>1061</b> Gull &amp; Anchor, 72 pieces
              <br />
              14 navy M blanks are due Friday
            </p>
            <p>
              <StateMark state="late">1044 misses noon by 4 h 10 min</StateMark>
            </p>
          </Section>
        }
      >
        <ShowWords />
        <ShowDrawn />
        <ShowForms />
        <ShowRest />
      </RoomPage>
    </Shell>
  )
}
