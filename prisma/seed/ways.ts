import { designOf } from '@/lib/costing/order'
import { keepScreens, printedDesigns, savePriceList } from '@/lib/methods/store'
import type { Actor } from '@/lib/server/history'
import { withTyped } from '@/lib/shop/recipe-changes'
import { recipesNow, saveRecipe } from '@/lib/shop/recipes/store'
import { burnByHand, listFrames, numberFrames } from '@/lib/stock/frames/store'
import { addItem } from '@/lib/stock/items/store'
import { bookAtShelf } from '@/lib/stock/store'
import { micro, minor } from '@/lib/units/money'
import type { Instant } from '@/lib/units/time'

/** Other printers that the demo shop sends work to. Prices are invented. */
const PRINTERS = [
  {
    key: 'northgate',
    name: 'Northgate Contract Print',
    method: 'screen' as const,
    days: 6,
    setupEach: minor(3500),
    freight: minor(1450),
    rows: [
      { from: 24, each: minor(265) },
      { from: 50, each: minor(190) },
      { from: 100, each: minor(145) },
      { from: 250, each: minor(108) },
    ],
  },
  {
    key: 'kettle-yard',
    name: 'Kettle Yard Garment Print',
    method: 'dtg' as const,
    days: 4,
    setupEach: minor(0),
    freight: minor(1200),
    rows: [
      { from: 1, each: minor(780) },
      { from: 12, each: minor(640) },
      { from: 50, each: minor(545) },
    ],
  },
]

/** What the demo shop learned about its ways while it worked: prices asked elsewhere, a press that was measured, screens that were kept. */
export async function learnWays(by: Actor, began: Instant): Promise<void> {
  for (const list of PRINTERS) {
    const saved = await savePriceList(list, 0, by, began)
    if (!saved.ok) throw new Error(saved.message)
  }
  const { transfer } = (await recipesNow()).usual
  const typed = withTyped(transfer, { 'steps.press.handlingSeconds': '17' }, 'metric')
  if (!typed.ok) throw new Error(Object.values(typed.errors)[0])
  const saved = await saveRecipe(
    transfer.id,
    transfer.version,
    typed.recipe,
    { from: 'measured', note: 'kitchen clock, 40 pieces' },
    by,
    began,
  )
  if (!saved.ok) throw new Error(saved.message)
}

/** Hangs the demo shop's frames up and gives them their numbers. */
export async function hangFrames(by: Actor, now: Instant): Promise<void> {
  const sku = 'FRAME-61'
  const added = await addItem(
    {
      sku,
      name: 'Frame 58 × 84 cm, 61 threads a cm',
      kind: 'screen',
      unit: 'piece',
      price: micro(31_500_000),
      supplier: 'Quayside Print Supply',
      leadDays: 5,
      reorderPoint: 0,
      reorderTo: 0,
    },
    by,
    now,
  )
  if (!added.ok) throw new Error(added.message)
  const came = await bookAtShelf(
    { sku, by, now },
    { kind: 'received', quantity: 18, value: micro(18 * 31_500_000), why: 'bought with the press' },
  )
  if (!came.ok) throw new Error(came.message)
  const numbered = await numberFrames(sku, 18, by, now)
  if (!numbered.ok) throw new Error(numbered.message)
}

/** Puts the screens of two designs on the shelf that were printed. */
export async function shelveScreens(by: Actor, now: Instant): Promise<void> {
  for (const [i, design] of (await printedDesigns()).slice(0, 2).entries()) {
    const { artworkId, widthMm, heightMm } = design
    const kept = await keepScreens(
      { artworkId, widthMm, heightMm, screens: 3 - i, place: `rack ${i + 1}, top` },
      by,
      now,
    )
    if (!kept.ok) throw new Error(kept.message)
    // Those of its orders were reclaimed; these are another set, burnt for the shelf.
    const free = (await listFrames()).frames.filter(f => f.now === null).slice(0, 3 - i)
    const noted = await burnByHand(
      { artworkId, widthMm, heightMm, design: designOf(design) },
      free.map(f => f.number),
      by,
      now,
    )
    if (!noted.ok) throw new Error(noted.message)
  }
}
