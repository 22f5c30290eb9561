/** The folder's border to the disk: the one file of lib/artwork that reads and writes, and decides nothing. */
import { mkdir, open, readFile, rename, rm, stat, writeFile } from 'node:fs/promises'
import { ok, type Refusal, type Result, refuse } from '@/lib/units/result'

/** The bytes of a file of at most `most` bytes; a folder, a missing file and a larger one are refused. */
export async function bytesOf(path: string, most: number): Promise<Result<Buffer>> {
  try {
    const fault = faultOf(await stat(path), most)
    return fault ?? ok(await readFile(path))
  } catch {
    return MISSING
  }
}

/** Bytes that are read at a time. */
const PIECE = 1 << 20

/**
 * Reads a file from start to end, `each` piece in its order through the same megabyte of memory: fresh memory for a whole file
 * costs more than reading it. Gives its length in bytes; refused as by bytesOf().
 */
export async function passThrough(
  path: string,
  most: number,
  each: (piece: Buffer) => void,
): Promise<Result<number>> {
  try {
    const file = await open(path)
    try {
      const fault = faultOf(await file.stat(), most)
      if (fault) return fault
      const piece = Buffer.allocUnsafeSlow(PIECE)
      let length = 0
      for (;;) {
        const { bytesRead } = await file.read(piece, 0, PIECE, null)
        if (bytesRead === 0) return ok(length)
        length += bytesRead
        each(piece.subarray(0, bytesRead))
      }
    } finally {
      await file.close()
    }
  } catch {
    return MISSING
  }
}

const MISSING = refuse('no-file', 'There is no such file, or it may not be read: check its name and place.')

function faultOf(info: { isFile(): boolean; size: number }, most: number): Refusal | null {
  if (!info.isFile()) return refuse('not-a-file', 'That is a folder, not a file: choose the file itself.')
  if (info.size > most)
    return refuse(
      'too-heavy',
      `The file is ${Math.round(info.size / 1e6)} MB and at most ${most / 1e6} MB are taken: export it at 300 ppi for its printed size.`,
    )
  return null
}

/** Writes beside the place and then renames, so that no half-written file ever stands under its name. */
export async function writeWhole(path: string, bytes: Uint8Array): Promise<void> {
  const part = `${path}.part`
  try {
    await writeFile(part, bytes)
    await rename(part, path)
  } finally {
    await rm(part, { force: true })
  }
}

/** Makes a folder, with those above it; one that is there already is fine. */
export async function makeFolder(path: string): Promise<void> {
  await mkdir(path, { recursive: true })
}
