import type { ReactNode } from 'react'
import { Room } from '@/app/room'
import { Scanner } from './scanner'

export default function FloorLayout({ children }: { children: ReactNode }) {
  return (
    <Room room="floor">
      <Scanner />
      {children}
    </Room>
  )
}
