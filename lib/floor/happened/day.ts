/** A line of the clock book: seconds that somebody and some station worked. One that takes another back counts below nothing. */
export type Clock = { person: string; station: string; labourSeconds: number; machineSeconds: number }

/** Hours of a day, people by stations, in seconds. */
export type DayHours = {
  stations: string[]
  rows: { person: string; at: Map<string, number>; sum: number }[]
  /** What each station worked, attended or not. */
  machine: Map<string, number>
  labour: number
}

/** Sums the clock book of a day: people's hours at each station, and each station's own. */
export function dayHours(clocks: readonly Clock[]): DayHours {
  const stations = [...new Set(clocks.map(c => c.station))].sort()
  const people = [...new Set(clocks.map(c => c.person))].sort()
  const sum = (list: readonly Clock[], of: 'labourSeconds' | 'machineSeconds') =>
    list.reduce((n, c) => n + c[of], 0)
  return {
    stations,
    rows: people.map(person => {
      const own = clocks.filter(c => c.person === person)
      return {
        person,
        at: new Map(
          stations.map(s => [
            s,
            sum(
              own.filter(c => c.station === s),
              'labourSeconds',
            ),
          ]),
        ),
        sum: sum(own, 'labourSeconds'),
      }
    }),
    machine: new Map(
      stations.map(s => [
        s,
        sum(
          clocks.filter(c => c.station === s),
          'machineSeconds',
        ),
      ]),
    ),
    labour: sum(clocks, 'labourSeconds'),
  }
}

/** A promise and when it was kept: how late in minutes, or null where it is kept or not due yet. */
export function lateMinutes(promiseAt: number, readyAt: number | null, now: number): number | null {
  const late = Math.floor(((readyAt ?? now) - promiseAt) / 60_000)
  return late > 0 ? late : null
}
