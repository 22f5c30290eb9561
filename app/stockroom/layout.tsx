import type { ReactNode } from 'react'
import { Room } from '@/app/room'

export default function StockroomLayout({ children }: { children: ReactNode }) {
  return <Room room="stockroom">{children}</Room>
}
