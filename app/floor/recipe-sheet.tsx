import { Notice } from '@/app/parts/notice'
import { writeSizeRules } from '@/lib/artwork/size-rules'
import { partTitle } from '@/lib/floor/press-plan'
import type { StepPart, StepPrint, StepRecipe } from '@/lib/planning/recipe-snapshot'
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
  const facts = figures(longest, system)
  if (size === 'ticket') {
    const lines = recipe.parts.flatMap(p => (line(p, system) ? [{ key: p.key, words: line(p, system) }] : []))
    return (
      <ul className={styles.ticket}>
        {lines.map(l => (
          <li key={l.key}>
            {recipe.parts.length > 1 && `${partTitle(l.key)}: `}
            {l.words}
          </li>
        ))}
      </ul>
    )
  }
  return (
    <div className={styles.arm}>
      {facts.length > 0 && recipe.parts.length > 1 && (
        <p className={styles.which}>{partTitle(longest.key)}</p>
      )}
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
      {recipe.parts.length > 1 && (
        <ol className={styles.parts}>
          {recipe.parts.map(p => (
            <li key={p.key} aria-current={p === longest ? 'step' : undefined}>
              <span>{p.words}</span>
              <span className={styles.partFigures}>{line(p, system)}</span>
            </li>
          ))}
        </ol>
      )}
      {recipe.print && <Place print={recipe.print} system={system} />}
    </div>
  )
}

/**
 * Where a print sits, with its drop: read beside the drawing.
 * @param sizes garment sizes that get it so, where others get it larger or smaller
 */
export function Place({
  print,
  system,
  sizes,
}: {
  print: StepPrint
  system: MeasureSystem
  sizes?: string | undefined
}) {
  const guide = PLACEMENT[print.placement]
  return (
    <p className={styles.place}>
      <b>{guide.name}</b>
      {sizes && (
        <>
          {' '}
          on <b>{sizes}</b>
        </>
      )}
      : {formatLength(mm(print.widthMm), system).replace(/ \D+$/, '')} ×{' '}
      {formatLength(mm(print.heightMm), system)}, top <b>{formatLength(mm(print.dropMm), system)}</b>{' '}
      {guide.measuredFrom}
      {print.bySize?.length ? `, on ${writeSizeRules(print.bySize, system)} wide` : ''}
      {print.screens > 0 && `, ${print.screens} screens`}
    </p>
  )
}

function figures(p: StepPart, system: MeasureSystem): [string, string][] {
  const list: [string, string][] = []
  if (p.temperature !== null) list.push(['Temperature', formatTemperature(celsius(p.temperature), system)])
  // Dwell is time under heat; a print or an exposure just takes its time.
  if (p.dwellSeconds > 0) list.push([p.temperature === null ? 'Time' : 'Dwell', `${p.dwellSeconds} s`])
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

/** The setting that names the step, in one line: "149 °C, 16 s, medium, peel hot". Empty where there is none. */
export const settingWords = (recipe: StepRecipe, system: MeasureSystem): string =>
  line(
    recipe.parts.reduce((a, b) => (b.dwellSeconds > a.dwellSeconds ? b : a)),
    system,
  )

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
