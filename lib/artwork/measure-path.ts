import { ok, type Result } from '@/lib/units/result'
import { readArtwork } from './decode'
import type { DeskProgress } from './desk'
import { type Measurement, type MeasureOptions, measure } from './measure'
import { pixelsAt } from './size'

/** Reads a file and measures it, in this thread. Drawings are turned into pixels at 300 ppi of the printed size. */
export async function measurePath(
  path: string,
  options: MeasureOptions,
  progress: (at: DeskProgress) => void = () => {},
): Promise<Result<Measurement>> {
  progress('reading')
  const read = await readArtwork(path, { vectorWidthPx: pixelsAt(options.widthMm) })
  if (!read.ok) return read
  progress('measuring')
  return ok(measure(read.value, options))
}
