import { type Mm, mm } from '@/lib/units/measure'

const belt = (n: number, what: string): number => {
  if (!(n > 0) || !Number.isFinite(n)) throw new RangeError(`${n} is not ${what} above 0.`)
  return n
}

/** Seconds that a piece is under heat: heated length ÷ belt speed. @param speed mm a minute */
export const dryerDwell = (heated: Mm, speed: number): number =>
  (belt(heated, 'a heated length') / belt(speed, 'a belt speed')) * 60

/** Belt speed for a dwell, mm a minute. @param dwell seconds */
export const beltSpeed = (heated: Mm, dwell: number): number =>
  (belt(heated, 'a heated length') / belt(dwell, 'a dwell')) * 60

/** Pieces an hour when so many lie in the heat at once: pieces × 3600 ÷ dwell. */
export const dryerRate = (inside: number, dwell: number): number =>
  (belt(inside, 'a number of pieces') * 3600) / belt(dwell, 'a dwell')

/** Pieces that lie in the heat at once: rows along the heated length, one piece of this length after another, so many beside each other. */
export const insideDryer = (heated: Mm, pieceLength: Mm, across: number): number =>
  Math.max(1, Math.floor(heated / belt(pieceLength, 'a length') + 1e-9)) * across

/** Heated length from feet, as old dryers are rated. */
export const heatedFromFeet = (feet: number): Mm => mm(feet * 304.8)
