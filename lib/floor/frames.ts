import type { StepRecipe } from '@/lib/planning/recipe-snapshot'

/** A step of a chain, as far as its frames need it. */
export type FrameStep = {
  position: number
  dropped: boolean
  recipe: Pick<StepRecipe, 'phase' | 'counted' | 'print'>
}

/** What a step does with frames: takes them as it starts, has burnt them or has them free again when it is done. */
export type FrameWork = { takes: boolean; burns: boolean; reclaims: boolean }

/**
 * What a step does with the frames of its print. Screens are made by the steps before the work that are counted by the screen (coat,
 * expose): the first takes the frames, the last has them burnt. The last such step after the work has them free again.
 * @param chain every step of its chain, itself among them
 */
export function frameWorkOf(step: FrameStep, chain: readonly FrameStep[]): FrameWork {
  const { print, phase, counted } = step.recipe
  if (!print?.artworkId || counted.per !== 'screen' || phase === 'work')
    return { takes: false, burns: false, reclaims: false }
  const same = chain.filter(
    s =>
      !s.dropped &&
      s.recipe.phase === phase &&
      s.recipe.counted.per === 'screen' &&
      s.recipe.print?.artworkId === print.artworkId &&
      s.recipe.print.widthMm === print.widthMm &&
      s.recipe.print.heightMm === print.heightMm,
  )
  const first = Math.min(...same.map(s => s.position))
  const last = Math.max(...same.map(s => s.position))
  return {
    takes: phase === 'before' && step.position === first,
    burns: phase === 'before' && step.position === last,
    reclaims: phase === 'after' && step.position === last,
  }
}
