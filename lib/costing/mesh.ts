/** A plain weave: threads per centimetre and thread diameter in µm. */
export type Mesh = { threadsPerCm: number; threadUm: number }

/** Fabric thickness as a multiple of the thread: makers' tables run from 1.48 to 1.58. */
export const THICKNESS_FACTOR = 1.55

/** Mesh opening in µm: thread spacing less the thread. 0 when the threads touch. */
export const meshOpening = (mesh: Mesh): number => Math.max(0, 10_000 / mesh.threadsPerCm - mesh.threadUm)

/** Open share of the area, 0–1: (opening ÷ spacing)². */
export function openArea(mesh: Mesh): number {
  const spacing = 10_000 / mesh.threadsPerCm
  return (meshOpening(mesh) / spacing) ** 2
}

/** Fabric thickness in µm by geometry; a maker's measured value is better where there is one. */
export const fabricThickness = (mesh: Mesh): number => mesh.threadUm * THICKNESS_FACTOR

/**
 * Theoretical ink volume in cm³/m²: open share × fabric thickness in µm (1 µm over 1 m² is 1 cm³). Sheets mix nominal, theoretical and
 * measured values and differ by some per cent.
 */
export const theoreticalInkVolume = (openShare: number, thicknessUm: number): number =>
  openShare * thicknessUm

/** Theoretical ink volume of a mesh by its geometry, cm³/m². */
export const meshInkVolume = (mesh: Mesh): number =>
  theoreticalInkVolume(openArea(mesh), fabricThickness(mesh))

/**
 * Ink in mg on a covered area: area × theoretical volume × density × share transferred × hits.
 * @param coveredCm2 cm²
 * @param volume cm³/m²
 * @param density g/cm³
 */
export const meshInkMg = (
  coveredCm2: number,
  volume: number,
  density: number,
  transferred: number,
  hits: number,
): number => (coveredCm2 / 10_000) * volume * density * transferred * hits * 1000
