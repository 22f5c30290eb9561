const TYPE = 'application/x-ndjson'

/** Whether whoever asks reads an answer as lines of JSON, as they come. */
export const wantsLines = (request: Request): boolean =>
  request.headers.get('accept')?.includes(TYPE) ?? false

type Ended = { ok: true } | { ok: false; message: string }

/**
 * An answer as lines of JSON: { "progress": … } for each word of progress and a last one, which is what the work gave. When whoever
 * asked leaves, the work is told so by the signal.
 */
export function inLines(
  request: Request,
  work: (signal: AbortSignal, progress: (word: string) => void) => Promise<Ended>,
): Response {
  const stop = new AbortController()
  const leave = (): void => stop.abort()
  if (request.signal.aborted) leave()
  request.signal.addEventListener('abort', leave, { once: true })
  const lines = new TextEncoder()
  const body = new ReadableStream<Uint8Array>({
    async start(out) {
      const say = (line: object): void => {
        if (!stop.signal.aborted) out.enqueue(lines.encode(`${JSON.stringify(line)}\n`))
      }
      try {
        say(await work(stop.signal, progress => say({ progress })))
      } catch {
        say({ ok: false, message: 'It could not be done: try again, and look at the shop’s disk.' })
      }
      if (!stop.signal.aborted) out.close()
    },
    cancel: leave,
  })
  // Not gathered and packed by a proxy on the way: each line is news.
  return new Response(body, {
    headers: { 'Content-Type': TYPE, 'Cache-Control': 'no-store, no-transform', 'X-Accel-Buffering': 'no' },
  })
}
