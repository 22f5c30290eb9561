import { readFileSync } from 'node:fs'
import { parse } from 'csv-parse/sync'
import { describe, expect, it } from 'vitest'
import {
  fabricThickness,
  meshInkMg,
  meshInkVolume,
  meshOpening,
  openArea,
  THICKNESS_FACTOR,
  theoreticalInkVolume,
} from '@/lib/costing/mesh'

const rows = parse(readFileSync(new URL('../vectors/mesh-theoretical-volume.csv', import.meta.url)), {
  columns: true,
}) as Record<string, string>[]
const of = (kind: string) => rows.filter(r => r.kind === kind)
const n = (row: Record<string, string>, key: string) => Number(row[key])

describe('theoretical ink volume', () => {
  // NBC Meshtec, "Screen Specifications": open area %, thickness µm and volume cm³/m² are printed side by side.
  it.each(of('published'))('$mesh_per_cm/cm with $thread_um µm: $ink_volume_cm3_per_m2 cm³/m²', row => {
    const product = theoreticalInkVolume(n(row, 'open_area_pct') / 100, n(row, 'fabric_thickness_um'))
    expect(Math.abs(product - n(row, 'ink_volume_cm3_per_m2'))).toBeLessThan(1)
  })
  // "Mesh Matters", Screen Printing magazine 2009: 25 % open, 63 µm thick.
  it('25 % open at 63 µm carries 15.75 cm³/m²', () =>
    expect(theoreticalInkVolume(0.25, 63)).toBeCloseTo(15.75, 9))
  // The same maker's rows: geometry alone, without the maker's measured values, comes near.
  it.each(of('published'))('geometry of $mesh_per_cm/cm with $thread_um µm comes within a tenth', row => {
    const mesh = { threadsPerCm: n(row, 'mesh_per_cm'), threadUm: n(row, 'thread_um') }
    expect(Math.abs(meshInkVolume(mesh) / n(row, 'ink_volume_cm3_per_m2') - 1)).toBeLessThan(0.13)
    expect(Math.abs(meshOpening(mesh) - n(row, 'opening_um'))).toBeLessThan(4)
    const thick = n(row, 'fabric_thickness_um') / n(row, 'thread_um')
    expect(Math.abs(thick - THICKNESS_FACTOR)).toBeLessThan(0.08)
  })
  // Geometry computed elsewhere: opening = 10,000/n − d, open area = (opening ÷ spacing)², thickness taken as 1.55 d.
  it.each(of('computed-geometric'))('geometry of $mesh_per_cm/cm with $thread_um µm', row => {
    const mesh = { threadsPerCm: n(row, 'mesh_per_cm'), threadUm: n(row, 'thread_um') }
    expect(meshOpening(mesh)).toBeCloseTo(n(row, 'opening_um'), 2)
    expect(openArea(mesh) * 100).toBeCloseTo(n(row, 'open_area_pct'), 3)
    expect(fabricThickness(mesh)).toBeCloseTo(n(row, 'fabric_thickness_um'), 6)
    expect(meshInkVolume(mesh)).toBeCloseTo(n(row, 'ink_volume_cm3_per_m2'), 3)
  })
  it('threads that touch carry nothing', () =>
    expect(meshInkVolume({ threadsPerCm: 100, threadUm: 120 })).toBe(0))
  // Mass by volume: 1 m² fully covered at 36.9 cm³/m² and 1.438 g/cm³ is 53.06 g.
  it('weighs volume × density × share × hits', () => {
    expect(meshInkMg(10_000, 36.9, 1.438, 1, 1)).toBeCloseTo(53_062.2, 1)
    expect(meshInkMg(10_000, 36.9, 1.438, 0.5, 2)).toBeCloseTo(53_062.2, 1)
  })
})
