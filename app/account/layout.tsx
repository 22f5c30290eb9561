import type { ReactNode } from 'react'
import { Room } from '@/app/room'

export default function AccountLayout({ children }: { children: ReactNode }) {
  return <Room>{children}</Room>
}
