import type { ReactNode } from 'react'
import { Room } from '@/app/room'

export default function ArtDeskLayout({ children }: { children: ReactNode }) {
  return <Room room="artdesk">{children}</Room>
}
