import { SubmitButton } from '@/app/parts/submit-button'
import { signOut } from './actions'

/** For the person's menu. */
export function SignOut() {
  return (
    <form action={signOut}>
      <SubmitButton look="quiet">Sign out</SubmitButton>
    </form>
  )
}
