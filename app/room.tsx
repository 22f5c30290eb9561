import { cookies } from 'next/headers'
import { redirect } from 'next/navigation'
import type { ReactNode } from 'react'
import { isDemo } from '@/lib/server/data-folder'
import { mayOpen, type Right } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { findShop } from '@/lib/shop/store'
import { PALETTE_COOKIE } from './parts/palette'
import { ROOMS, type RoomKey } from './parts/rooms'
import { Shell } from './parts/shell'
import { SignOut } from './sign-in/sign-out'

const NEEDS: Record<RoomKey, Right> = {
  counter: 'orders.see',
  artdesk: 'artwork.see',
  floor: 'floor.see',
  stockroom: 'stock.see',
  office: 'books.see',
}

/**
 * The walls of a room: who is here, whose shop it is, the way to the other rooms.
 * @param room none on a page beside the rooms: being signed in is enough there
 */
export async function Room({ room, children }: { room?: RoomKey; children: ReactNode }) {
  const person = await requirePerson(room && NEEDS[room])
  const shop = await findShop()
  if (!shop) redirect('/welcome')
  const chosen = (await cookies()).get(PALETTE_COOKIE)?.value
  return (
    <Shell
      shopName={shop.name}
      {...(room && { room })}
      rooms={ROOMS.filter(r => mayOpen(person, r.href)).map(r => r.key)}
      person={person}
      menu={person.role === 'tablet' ? [] : [{ href: '/account', label: 'How you sign in' }]}
      signOut={<SignOut />}
      demo={isDemo() && { leave: '/welcome' }}
      palette={chosen === 'day' || chosen === 'night' ? chosen : undefined}
    >
      {children}
    </Shell>
  )
}
