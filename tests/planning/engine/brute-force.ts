import type { Objective, Opening, Shop } from '@/lib/planning/engine'

/**
 * The best objective of a small shop, by trying every order, station and person. Written minute by minute, apart from the engine.
 * Steps must not be pausable and have no longest gap; every run begins as early as those placed before it allow, which loses no best
 * plan because every part of the objective only grows with time.
 */
export function bruteForce(shop: Shop): Objective {
  const isOpen = (list: readonly Opening[], a: number, b: number) =>
    list.some(o => o.from <= a && b <= o.to && a < o.to)
  const next = shop.jobs.map(() => 0)
  const ready = shop.jobs.map(j => Math.max(j.release, shop.now))
  const free = new Map(shop.stations.map(s => [s.id, shop.now]))
  const state = new Map(shop.stations.map(s => [s.id, s.state]))
  const busy = new Map(shop.crew.map(m => [m.id, shop.now]))
  const ends = shop.jobs.map(() => shop.now)
  let best: Objective | null = null
  const less = (a: Objective, b: Objective) =>
    a.hardMisses - b.hardMisses ||
    a.weightedLateMinutes - b.weightedLateMinutes ||
    a.changeoverMinutes - b.changeoverMinutes ||
    a.finish - b.finish

  const go = (placed: number, changeovers: number, finish: number) => {
    const soFar: Objective = { hardMisses: 0, weightedLateMinutes: 0, changeoverMinutes: changeovers, finish }
    shop.jobs.forEach((j, i) => {
      if (j.due === null) return
      const end = Math.max(ends[i] as number, ready[i] as number)
      const over = (next[i] === j.steps.length ? (ends[i] as number) : end) - j.due
      if (over > 0) {
        soFar.weightedLateMinutes += over * j.weight
        if (j.hard) soFar.hardMisses++
      }
    })
    if (best && less(soFar, best) >= 0) return
    if (next.every((n, i) => n === shop.jobs[i]?.steps.length)) {
      best = soFar
      return
    }
    shop.jobs.forEach((j, i) => {
      const step = j.steps[next[i] as number]
      if (!step) return
      for (const choice of step.on) {
        const station = shop.stations.find(s => s.id === choice.station)
        if (!station) continue
        const was = state.get(station.id) ?? null
        const change =
          was === null || step.state === null
            ? undefined
            : station.changeovers.find(c => c.from === was && c.to === step.state)
        const co = change?.minutes ?? 0
        const attendedChange = co > 0 && (change?.attended ?? false)
        const needs = step.attended !== 'none' || attendedChange
        const people = needs ? shop.crew.filter(m => m.skills.includes(station.kind)) : [null]
        for (const m of people) {
          const length = choice.setup + choice.run
          let work = Math.max(ready[i] as number, (free.get(station.id) as number) + co, shop.now + co)
          let found = false
          for (; work < shop.horizon; work++) {
            if (!isOpen(station.open, work - co, work + length) || !isOpen(station.open, work, work)) continue
            if (m) {
              const from = attendedChange ? work - co : work
              const to =
                step.attended === 'all'
                  ? work + length
                  : step.attended === 'setup'
                    ? work + choice.setup
                    : work
              if (
                from < (busy.get(m.id) as number) ||
                !isOpen(m.open, from, to) ||
                !isOpen(m.open, work, work)
              )
                continue
            }
            found = true
            break
          }
          if (!found) continue
          const kept = [
            ready[i],
            free.get(station.id),
            state.get(station.id),
            m && busy.get(m.id),
            ends[i],
          ] as const
          const end = work + length
          ready[i] = end + step.gap.min
          ends[i] = end
          free.set(station.id, end)
          if (step.state !== null) state.set(station.id, step.state)
          if (m) {
            busy.set(
              m.id,
              step.attended === 'all' ? end : step.attended === 'setup' ? work + choice.setup : work,
            )
          }
          next[i] = (next[i] as number) + 1
          go(placed + 1, changeovers + co, Math.max(finish, end))
          next[i] = (next[i] as number) - 1
          ready[i] = kept[0] as number
          free.set(station.id, kept[1] as number)
          state.set(station.id, kept[2] ?? null)
          if (m) busy.set(m.id, kept[3] as number)
          ends[i] = kept[4] as number
        }
      }
    })
  }
  go(0, 0, shop.now)
  if (!best) throw new Error('no plan of this shop places every step')
  return best
}
