import highsLoader from 'highs'
import type { Shop } from '@/lib/planning/engine'

/**
 * The same instance as a mixed-integer program with big-M disjunctions (Manne 1960), for a general solver to be measured beside the
 * engine. Null where it finds no plan in the time.
 */
export async function solveByMip(shop: Shop, byLateness: boolean, seconds: number): Promise<number | null> {
  const highs = await highsLoader()
  try {
    const result = highs.solve(program(shop, byLateness), { time_limit: seconds })
    const value = (result as { ObjectiveValue?: number }).ObjectiveValue
    const columns = Object.keys(result.Columns ?? {}).length
    return value === undefined || !Number.isFinite(value) || columns === 0 || Math.abs(value) > 1e20
      ? null
      : Math.round(value)
  } catch {
    return null
  }
}

function program(shop: Shop, byLateness: boolean): string {
  const ops = shop.jobs.flatMap((job, j) =>
    job.steps.map((step, k) => ({ job, j, step, k, name: `${j}_${k}` })),
  )
  const change = (station: string, from: string | null, to: string | null) =>
    shop.stations.find(s => s.id === station)?.changeovers.find(c => c.from === from && c.to === to)
      ?.minutes ?? 0
  const longest = Math.max(0, ...shop.stations.flatMap(s => s.changeovers.map(c => c.minutes)))
  const big = ops.reduce((sum, o) => sum + Math.max(...o.step.on.map(c => c.setup + c.run)) + longest, 0)
  const rows: string[] = []
  const binaries: string[] = []
  const row = (text: string) => rows.push(` c${rows.length}: ${text}`)
  const plus = (n: number, name: string) => (n < 0 ? `- ${-n} ${name}` : `+ ${n} ${name}`)
  for (const o of ops) {
    const x = o.step.on.map((_, c) => `x${o.name}_${c}`)
    if (x.length > 1) {
      binaries.push(...x)
      row(`${x.map(v => `+ ${v}`).join(' ')} = 1`)
    }
    const end = o.step.on
      .map((c, i) => (x.length > 1 ? plus(-(c.setup + c.run), x[i] as string) : ''))
      .join(' ')
    const fixed = x.length > 1 ? 0 : (o.step.on[0]?.setup ?? 0) + (o.step.on[0]?.run ?? 0)
    const next = o.job.steps[o.k + 1]
    if (next) row(`+ s${o.j}_${o.k + 1} - s${o.name} ${end} >= ${fixed + o.step.gap.min}`)
    else if (byLateness) row(`+ t${o.j} - s${o.name} ${end} >= ${fixed - (o.job.due ?? big)}`)
    else row(`+ finish - s${o.name} ${end} >= ${fixed}`)
    const first = Math.max(
      o.job.release,
      ...(o.step.on.length === 1
        ? o.step.on.map(c =>
            change(c.station, shop.stations.find(s => s.id === c.station)?.state ?? null, o.step.state),
          )
        : []),
    )
    if (first > 0) row(`+ s${o.name} >= ${first}`)
  }
  for (let a = 0; a < ops.length; a++) {
    for (let b = a + 1; b < ops.length; b++) {
      const p = ops[a]
      const q = ops[b]
      if (!p || !q || p.j === q.j) continue
      p.step.on.forEach((cp, i) => {
        const k = q.step.on.findIndex(c => c.station === cp.station)
        const cq = q.step.on[k]
        if (!cq) return
        const y = `y${p.name}_${q.name}_${i}`
        binaries.push(y)
        // Where a step has a choice, the disjunction holds only when both are on this station.
        const on = [
          ...(p.step.on.length > 1 ? [`x${p.name}_${i}`] : []),
          ...(q.step.on.length > 1 ? [`x${q.name}_${k}`] : []),
        ]
        const loose = on.map(v => `- ${big} ${v}`).join(' ')
        const free = big * on.length
        const pq = cp.setup + cp.run + change(cp.station, p.step.state, q.step.state)
        const qp = cq.setup + cq.run + change(cp.station, q.step.state, p.step.state)
        row(`+ s${q.name} - s${p.name} - ${big} ${y} ${loose} >= ${pq - big - free}`)
        row(`+ s${p.name} - s${q.name} + ${big} ${y} ${loose} >= ${qp - free}`)
      })
    }
  }
  const goal = byLateness ? shop.jobs.map((j, i) => plus(j.weight, `t${i}`)).join(' ') : 'finish'
  return `Minimize\n goal: ${goal}\nSubject To\n${rows.join('\n')}\nBinaries\n ${binaries.join('\n ')}\nEnd\n`
}
