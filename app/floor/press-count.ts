/** Said on the window when the press timer's count changes: detail { name, counted }. */
export const COUNTED = 'press-counted'

export type Counted = { name: string; counted: number }

/** Tells the page what the timer has counted, so that the finishing form can offer it. */
export function keepCount(name: string, counted: number): void {
  window.dispatchEvent(new CustomEvent<Counted>(COUNTED, { detail: { name, counted } }))
}
