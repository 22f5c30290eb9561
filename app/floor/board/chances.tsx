'use client'
import { useSyncExternalStore } from 'react'
import { liveLine } from '@/app/parts/live-line'
import type { Chances, OrderChance } from '@/lib/floor/sure/store'
import { chanceWords } from '@/lib/floor/sure/words'
import { formatMoment, type Instant } from '@/lib/units/time'
import styles from './board.module.css'

/** After a change so long is waited before the chances are asked anew: they take seconds, and plans come in rows. */
const CALM_MS = 3000

/** The page's one copy of the chances, asked for with the first who wants them. */
class ChanceBook {
  value: Chances | null = null
  readonly #watchers = new Set<() => void>()
  #stop: (() => void) | undefined
  #timer: ReturnType<typeof setTimeout> | undefined

  readonly watch = (look: () => void) => {
    this.#watchers.add(look)
    if (!this.#stop) {
      this.#stop = liveLine().listen(heard => {
        if (heard !== 'all' && !heard.includes('plan')) return
        clearTimeout(this.#timer)
        this.#timer = setTimeout(() => void this.#ask(), CALM_MS)
      })
      void this.#ask()
    }
    return () => {
      this.#watchers.delete(look)
      if (this.#watchers.size > 0) return
      this.#stop?.()
      this.#stop = undefined
      clearTimeout(this.#timer)
    }
  }

  async #ask() {
    const answer = await fetch('/api/plan/chances', { cache: 'no-store' }).catch(() => null)
    if (!answer?.ok) return
    this.value = (await answer.json()) as Chances
    for (const look of this.#watchers) look()
  }
}

let book: ChanceBook | undefined
const theBook = () => {
  book ??= new ChanceBook()
  return book
}
const watch = (look: () => void) => theBook().watch(look)

const useChances = (): Chances | null =>
  useSyncExternalStore(
    watch,
    () => theBook().value,
    () => null,
  )

/** How sure an order's promise is: "92 % sure". Nothing until it is known, and nothing without a promise. */
export function ChanceOf({ order, by, zone }: { order: string; by?: Instant | null; zone?: string }) {
  const chances = useChances()
  const chance: OrderChance | undefined = chances?.orders[order]
  if (!chances || !chance || chance.onTime === null) return null
  const words = chanceWords(chance.onTime)
  return (
    <span
      className={styles.chance}
      data-low={chance.onTime < 0.8 || undefined}
      title={`${words} of 500 ways that the coming days may go have it ready in time${
        chances.runs > 0
          ? `, with times varying as in ${chances.runs} finished runs here`
          : ', with times varying by about 15 %'
      }.`}
    >
      {words} {by && zone ? `by ${formatMoment(by, zone)}` : 'sure'}
    </span>
  )
}
