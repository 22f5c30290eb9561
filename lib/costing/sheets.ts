import type { SheetSize } from '@/lib/shop/rates'

/** So many prints of one size, mm. */
export type SheetPrint = { widthMm: number; heightMm: number; count: number }

type Row = { perRow: number; height: number; perSheet: number }

/** How prints of one size stand on a sheet: the way round that gets more on, then the lower row. */
function rowOf(print: SheetPrint, sheet: SheetSize): Row {
  const along = (width: number, height: number): Row => {
    const perRow = Math.floor((sheet.widthMm + sheet.gapMm + 1e-9) / (width + sheet.gapMm))
    const rows = Math.floor((sheet.heightMm + sheet.gapMm + 1e-9) / (height + sheet.gapMm))
    return { perRow, height: height + sheet.gapMm, perSheet: perRow * rows }
  }
  const upright = along(print.widthMm, print.heightMm)
  const turned = along(print.heightMm, print.widthMm)
  return turned.perSheet > upright.perSheet ? turned : upright
}

/** Prints of one size on one sheet; 0 when it does not fit. */
export const perSheet = (print: SheetPrint, sheet: SheetSize): number => rowOf(print, sheet).perSheet

/**
 * Sheets for all prints together: rows of one size, tallest rows first, each sheet filled before the next is begun. One more
 * print never makes fewer sheets (next-fit is monotone). A print larger than the sheet counts by its area, so the cost stands
 * although it cannot be made.
 */
export function sheetsFor(prints: readonly SheetPrint[], sheet: SheetSize): number {
  const height = sheet.heightMm + sheet.gapMm
  let sheets = 0
  let left = 0
  const rows = prints
    .filter(p => p.count > 0)
    .map(p => ({ ...rowOf(p, sheet), count: p.count, print: p }))
    .sort((a, b) => b.height - a.height || b.perRow - a.perRow)
  for (const row of rows) {
    if (row.perSheet === 0) {
      const area = (row.print.widthMm * row.print.heightMm) / (sheet.widthMm * sheet.heightMm)
      sheets += Math.ceil(area) * Math.ceil(row.count)
      continue
    }
    let todo = Math.ceil(row.count / row.perRow - 1e-9)
    const here = Math.min(todo, Math.floor((left + 1e-9) / row.height))
    todo -= here
    left -= here * row.height
    if (todo > 0) {
      const rowsOnASheet = Math.floor((height + 1e-9) / row.height)
      const more = Math.ceil(todo / rowsOnASheet)
      sheets += more
      left = height - (todo - (more - 1) * rowsOnASheet) * row.height
    }
  }
  return sheets
}
