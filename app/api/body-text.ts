/** A request's body as text, read no further than so many bytes; null where there are more. */
export async function bodyText(request: Request, mostBytes: number): Promise<string | null> {
  const chunks: Uint8Array[] = []
  let bytes = 0
  const reader = request.body?.getReader()
  while (reader) {
    const { done, value } = await reader.read()
    if (done) break
    bytes += value.byteLength
    if (bytes > mostBytes) {
      await reader.cancel()
      return null
    }
    chunks.push(value)
  }
  return Buffer.concat(chunks).toString('utf8')
}
