import { redirect } from 'next/navigation'
import { requirePerson } from '@/lib/server/session'

/** The front door leads to the room of one's work. */
export default async function FrontDoor() {
  const person = await requirePerson()
  redirect(person.role === 'press' || person.role === 'tablet' ? '/floor' : '/counter')
}
