/** Stations, orders or holds that one page of the wall shows: more would be too small to read from five metres. */
export const WALL_ROWS = 4

/** A list cut into pages of so many, the last one shorter; no page for an empty list. */
export function wallPages<T>(list: readonly T[], rows = WALL_ROWS): T[][] {
  const pages: T[][] = []
  for (let i = 0; i < list.length; i += rows) pages.push(list.slice(i, i + rows))
  return pages
}

/** Which page is up, by the clock alone: two walls side by side turn together. @param seconds that a page stays */
export const pageAt = (now: number, pages: number, seconds: number): number =>
  pages === 0 ? 0 : Math.floor(now / (seconds * 1000)) % pages
