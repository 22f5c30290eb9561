import { Notice } from '@/app/parts/notice'
import type { StepPart, StepRecipe } from '@/lib/planning/recipe-snapshot'
import { PLACEMENT } from '@/lib/shop/placements'
import { celsius, formatLength, formatTemperature, type MeasureSystem, mm } from '@/lib/units/measure'
import styles from './recipe-sheet.module.css'
import { large } from './text'

/**
 * A step's recipe as it was agreed. Beside a machine in figures read at arm's length; on a ticket in lines.
 * @param size arm | ticket
 */
export function RecipeSheet({
  recipe,
  system,
  size = 'arm',
}: {
  recipe: StepRecipe
  system: MeasureSystem
  size?: 'arm' | 'ticket'
}) {
  const longest = recipe.parts.reduce((a, b) => (b.dwellSeconds > a.dwellSeconds ? b : a))
  const several = recipe.parts.length > 1
  const facts = figures(longest, system)
  return (
    <div className={size === 'arm' ? styles.arm : styles.ticket}>
      {facts.length > 0 && (
        <dl className={styles.figures}>
          {facts.map(([name, value]) => (
            <div key={name}>
              <dt>{name}</dt>
              <dd>{value}</dd>
            </div>
          ))}
        </dl>
      )}
      {several && (
        <ol className={styles.parts}>
          {recipe.parts.map(p => (
            <li key={p.key} aria-current={p === longest ? 'step' : undefined}>
              <span>{p.words}</span>
              <span className={styles.partFigures}>{line(p, system)}</span>
            </li>
          ))}
        </ol>
      )}
      {recipe.print && (
        <p className={styles.place}>
          <b>{PLACEMENT[recipe.print.placement].name}</b>:{' '}
          {formatLength(mm(recipe.print.widthMm), system).replace(/ \D+$/, '')} ×{' '}
          {formatLength(mm(recipe.print.heightMm), system)}, top{' '}
          <b>{formatLength(mm(recipe.print.dropMm), system)}</b>{' '}
          {PLACEMENT[recipe.print.placement].measuredFrom}
          {recipe.print.screens > 0 && `, ${recipe.print.screens} screens`}
        </p>
      )}
    </div>
  )
}

function figures(p: StepPart, system: MeasureSystem): [string, string][] {
  const list: [string, string][] = []
  if (p.temperature !== null) list.push(['Temperature', formatTemperature(celsius(p.temperature), system)])
  if (p.dwellSeconds > 0) list.push(['Dwell', `${p.dwellSeconds} s`])
  if (p.pressure) list.push(['Pressure', p.pressure])
  if (p.peel) list.push(['Peel', p.peel])
  if (p.coverSheet) list.push(['Cover', p.coverSheet])
  return list
}

const line = (p: StepPart, system: MeasureSystem): string =>
  [
    p.temperature !== null && formatTemperature(celsius(p.temperature), system),
    p.dwellSeconds > 0 && `${p.dwellSeconds} s`,
    p.pressure,
    p.peel && `peel ${p.peel}`,
    p.coverSheet && `under ${p.coverSheet}`,
  ]
    .filter(Boolean)
    .join(', ')

/** What can hurt at this step, and what the values are worth. */
export function RecipeCautions({ recipe }: { recipe: StepRecipe }) {
  const sources = [...new Set(recipe.parts.flatMap(p => p.sources))]
  return (
    <>
      {recipe.cautions.map(c => (
        <Notice key={c} kind="caution">
          {c}
        </Notice>
      ))}
      {recipe.notes.length > 0 && (
        <details className={styles.more} data-screen-only>
          <summary>{recipe.recipe?.name ?? 'Recipe'}: notes and sources</summary>
          <ul>
            {recipe.notes.map(n => (
              <li key={n}>{n}</li>
            ))}
            {sources.map(s => (
              <li key={s}>{large(s)}</li>
            ))}
          </ul>
        </details>
      )}
    </>
  )
}
