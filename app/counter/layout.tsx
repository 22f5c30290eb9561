import type { ReactNode } from 'react'
import { Room } from '@/app/room'

export default function CounterLayout({ children }: { children: ReactNode }) {
  return <Room room="counter">{children}</Room>
}
