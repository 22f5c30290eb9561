'use client'
import { useRouter } from 'next/navigation'
import { useEffect, useRef, useState } from 'react'
import { Button } from '@/app/parts/button'
import { Notice } from '@/app/parts/notice'
import { Row, Stack } from '@/app/parts/row'

const AT: Record<string, string> = {
  asking: 'Asking …',
  waiting: 'Waiting for other work on pictures to end …',
  making: 'Making the files …',
}

/**
 * The button that has a print's production files made, with what is being done meanwhile and a way to stop.
 * @param print the print's id
 * @param about which print, for screen readers
 */
export function FilesMaker({ print, about }: { print: string; about: string }) {
  const router = useRouter()
  const [at, setAt] = useState<string | null>(null)
  const [refused, setRefused] = useState('')
  const stop = useRef<AbortController | null>(null)
  useEffect(() => () => stop.current?.abort(), [])

  const make = async () => {
    if (at) return
    const leave = new AbortController()
    stop.current = leave
    setRefused('')
    setAt('asking')
    try {
      const answer = await fetch('/api/artwork/production', {
        method: 'POST',
        headers: { 'Content-Type': 'application/json' },
        body: JSON.stringify({ print }),
        signal: leave.signal,
      })
      const last = await lastLine(answer, setAt)
      if (last.ok) router.refresh()
      else setRefused(last.message ?? 'The files could not be made: try again.')
    } catch {
      setRefused(
        leave.signal.aborted
          ? 'Stopped: no file was made, and it can be started again.'
          : 'The shop’s computer did not answer: try again.',
      )
    }
    setAt(null)
  }

  return (
    <Stack gap="small">
      <Row>
        <Button onClick={make} pending={at !== null} aria-label={`Make the files: ${about}`}>
          Make the files
        </Button>
        {at && (
          <Button look="quiet" onClick={() => stop.current?.abort()}>
            Stop
          </Button>
        )}
        <span role="status">{at && (AT[at] ?? 'Working …')}</span>
      </Row>
      {refused && <Notice kind="stop">{refused}</Notice>}
    </Stack>
  )
}

type Line = { progress?: string; ok?: boolean; message?: string }

/** Reads an answer line by line as it comes; tells of progress and gives the last line. */
async function lastLine(answer: Response, progress: (at: string) => void): Promise<Line> {
  let last: Line = {}
  let rest = ''
  const take = (text: string): void => {
    if (!text.trim()) return
    last = JSON.parse(text) as Line
    if (last.progress) progress(last.progress)
  }
  const reader = answer.body?.pipeThrough(new TextDecoderStream()).getReader()
  for (;;) {
    const part = await reader?.read()
    if (!part || part.done) break
    const lines = (rest + part.value).split('\n')
    rest = lines.pop() ?? ''
    lines.forEach(take)
  }
  take(rest)
  return last
}
