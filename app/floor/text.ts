/** Pieces for people. */
export const pieces = (n: number): string => (n === 1 ? '1 piece' : `${n} pieces`)

/** First letter large: for the start of a sentence. */
export const large = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1)

/** A report as people read it: "counted, 5 good". */
export const reportWords = (r: { kind: string; good: number; spoiled: number; note: string }): string =>
  [
    REPORT_WORDS[r.kind] ?? r.kind,
    r.good > 0 && `${r.good} good`,
    r.spoiled > 0 && `${r.spoiled} spoiled`,
    r.note,
  ]
    .filter(Boolean)
    .join(', ')
const REPORT_WORDS: Record<string, string> = {
  start: 'started',
  pause: 'paused',
  resume: 'went on',
  finish: 'counted',
  misprint: 'misprint',
  undo: 'took the report back',
}
