import type { ReactNode } from 'react'
import { Room } from '@/app/room'

export default function FloorLayout({ children }: { children: ReactNode }) {
  return <Room room="floor">{children}</Room>
}
