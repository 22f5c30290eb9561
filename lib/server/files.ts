import 'server-only'
import { createHash, randomUUID } from 'node:crypto'
import { createWriteStream } from 'node:fs'
import { mkdir, rename, rm } from 'node:fs/promises'
import path from 'node:path'
import { Readable, Transform } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { type Refusal, type Result, refuse } from '@/lib/units/result'
import { filesFolder } from './data-folder'

/** Where a kept file of this content stands: two-letter folders, so that no folder grows without end. */
export const keptPath = (sha256: string): string =>
  path.join(filesFolder(), 'kept', sha256.slice(0, 2), sha256)

/** A file that came in and is not kept yet. */
export type Received = { path: string; sha256: string; bytes: number }

/** Receives at most `maxBytes` into a scratch file, and hashes it on the way: memory stays small whatever comes. */
export async function receive(
  body: ReadableStream<Uint8Array> | null,
  maxBytes: number,
  declaredBytes: number | null,
): Promise<Result<Received>> {
  const tooBig = (): Refusal =>
    refuse(
      'too-big',
      `The file is over ${Math.floor(maxBytes / 1e6)} MB: save it smaller and send it again.`,
      'file',
    )
  if (declaredBytes !== null && declaredBytes > maxBytes) return tooBig()
  if (!body) return refuse('empty', 'The file is empty: choose the artwork again.', 'file')
  const folder = path.join(filesFolder(), 'incoming')
  await mkdir(folder, { recursive: true })
  const scratch = path.join(folder, randomUUID())
  const hash = createHash('sha256')
  let bytes = 0
  const meter = new Transform({
    transform(chunk: Buffer, _encoding, done) {
      bytes += chunk.length
      if (bytes > maxBytes) return done(new RangeError('too big'))
      hash.update(chunk)
      done(null, chunk)
    },
  })
  try {
    await pipeline(Readable.fromWeb(body as never), meter, createWriteStream(scratch))
  } catch {
    await rm(scratch, { force: true })
    return bytes > maxBytes
      ? tooBig()
      : refuse('cut-short', 'The file did not arrive whole: send it again.', 'file')
  }
  if (bytes === 0 || (declaredBytes !== null && declaredBytes !== bytes)) {
    await rm(scratch, { force: true })
    return bytes === 0
      ? refuse('empty', 'The file is empty: choose the artwork again.', 'file')
      : refuse('cut-short', 'The file did not arrive whole: send it again.', 'file')
  }
  return { ok: true, value: { path: scratch, sha256: hash.digest('hex'), bytes } }
}

/** Keeps a received file under its content. The same content is kept once. */
export async function keep(file: Received): Promise<string> {
  const target = keptPath(file.sha256)
  await mkdir(path.dirname(target), { recursive: true })
  await rename(file.path, target)
  return target
}

/** Lets a received file go. */
export const discard = (file: Received): Promise<void> => rm(file.path, { force: true })
