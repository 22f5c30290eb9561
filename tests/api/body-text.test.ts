import { expect, test } from 'vitest'
import { bodyText } from '@/app/api/body-text'

/** A body that comes in parts and says nothing of its length; counts what was asked of it. */
function inParts(parts: Uint8Array[]) {
  let asked = 0
  let left = false
  const body = new ReadableStream<Uint8Array>(
    {
      pull: to => {
        const part = parts[asked++]
        if (part) to.enqueue(part)
        else to.close()
      },
      cancel: () => {
        left = true
      },
    },
    { highWaterMark: 0 },
  )
  const request = new Request('http://shop.local/api', {
    method: 'POST',
    body,
    duplex: 'half',
  } as RequestInit)
  return { request, asked: () => asked, left: () => left }
}
const part = (bytes: number) => new Uint8Array(bytes).fill(97)

test('a body is whole up to the limit, also where a letter is cut between two parts', async () => {
  const [one, two] = [new TextEncoder().encode('a€').slice(0, 2), new TextEncoder().encode('a€').slice(2)]
  expect(await bodyText(inParts([one, two]).request, 4)).toBe('a€')
  expect(await bodyText(inParts([part(10), part(10)]).request, 20)).toBe('a'.repeat(20))
  expect(await bodyText(new Request('http://shop.local/api', { method: 'POST' }), 20)).toBe('')
})

test('one byte more is told, and what would follow is not read', async () => {
  const sent = inParts(Array.from({ length: 1000 }, () => part(10)))
  expect(await bodyText(sent.request, 19)).toBeNull()
  expect(sent.left()).toBe(true)
  expect(sent.asked()).toBeLessThan(10)
})
