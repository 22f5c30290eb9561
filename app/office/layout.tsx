import type { ReactNode } from 'react'
import { Room } from '@/app/room'

export default function OfficeLayout({ children }: { children: ReactNode }) {
  return <Room room="office">{children}</Room>
}
