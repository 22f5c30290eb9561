import type { SizeCount } from '@/lib/planning/recipe-snapshot'
import styles from './size-table.module.css'

/** Pieces by colour and size, as the ticket says them: one row for each colour. */
export function SizeTable({ sizes, caption }: { sizes: readonly SizeCount[]; caption: string }) {
  const colours = [...new Set(sizes.map(s => s.colour))]
  const heads = [...new Set(sizes.map(s => s.size))]
  const of = (colour: string, size: string) =>
    sizes.filter(s => s.colour === colour && s.size === size).reduce((sum, s) => sum + s.quantity, 0)
  const total = (list: readonly SizeCount[]) => list.reduce((sum, s) => sum + s.quantity, 0)
  return (
    <table className={styles.sizes}>
      <caption className="aloud">{caption}</caption>
      <thead>
        <tr>
          <th scope="col">Colour</th>
          {heads.map(h => (
            <th key={h} scope="col">
              {h}
            </th>
          ))}
          <th scope="col">All</th>
        </tr>
      </thead>
      <tbody>
        {colours.map(c => (
          <tr key={c}>
            <th scope="row">{c}</th>
            {heads.map(h => (
              <td key={h}>{of(c, h) || '–'}</td>
            ))}
            <td>
              <b>{total(sizes.filter(s => s.colour === c))}</b>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}
