'use client'
import { useEffect } from 'react'
import { Button, ButtonLink } from './parts/button'
import { useComeBack } from './parts/come-back'
import { Notice } from './parts/notice'
import { RoomPage } from './parts/room-page'
import { Row, Stack } from './parts/row'

/** Something went wrong that nobody expected: one sentence, the code that the log has too, and the way on. */
export default function Failure({ error, reset }: { error: Error & { digest?: string }; reset: () => void }) {
  useEffect(() => console.error(error), [error])
  const waiting = useComeBack(error)
  return (
    <RoomPage narrow>
      <Stack gap="large">
        <h1>{waiting ? 'The line to the shop’s server was cut' : 'This page could not be shown'}</h1>
        {waiting ? (
          <Notice kind="info">What was saved before is safe. This page comes back by itself.</Notice>
        ) : (
          <Notice kind="stop">
            What was saved before is safe. Try again; if it stays, tell whoever looks after the computer
            {error.digest ? ` the code ${error.digest}` : ''}.
          </Notice>
        )}
        <Row>
          <Button look="primary" onClick={reset}>
            Try again
          </Button>
          <ButtonLink href="/">To the shop</ButtonLink>
        </Row>
      </Stack>
    </RoomPage>
  )
}
