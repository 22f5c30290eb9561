/** The folder's border to the disk: the one file of lib/artwork that reads and writes, and decides nothing. */
import { mkdir, readFile, rename, rm, stat, writeFile } from 'node:fs/promises'
import { ok, type Result, refuse } from '@/lib/units/result'

/** The bytes of a file of at most `most` bytes; a folder, a missing file and a larger one are refused. */
export async function bytesOf(path: string, most: number): Promise<Result<Buffer>> {
  try {
    const info = await stat(path)
    if (!info.isFile()) return refuse('not-a-file', 'That is a folder, not a file: choose the file itself.')
    if (info.size > most)
      return refuse(
        'too-heavy',
        `The file is ${Math.round(info.size / 1e6)} MB and at most ${most / 1e6} MB are taken: export it at 300 ppi for its printed size.`,
      )
    return ok(await readFile(path))
  } catch {
    return refuse('no-file', 'There is no such file, or it may not be read: check its name and place.')
  }
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
