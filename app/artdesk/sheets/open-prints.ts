import { type ArtworkUse, type ArtworkWithUses, listArtworks } from '@/lib/artwork/store'

const STATES = ['agreed', 'making']
const METHODS = ['transfer', 'sublimation']

/** Prints of agreed orders that are printed on sheets: film and sublimation paper, by order. */
export async function openPrints(): Promise<{ artwork: ArtworkWithUses; use: ArtworkUse }[]> {
  const artworks = await listArtworks({ orderStates: STATES })
  return artworks
    .flatMap(artwork =>
      artwork.uses
        .filter(use => STATES.includes(use.orderState) && METHODS.includes(use.method ?? ''))
        .map(use => ({ artwork, use })),
    )
    .sort((a, b) => a.use.orderNumber - b.use.orderNumber)
}
