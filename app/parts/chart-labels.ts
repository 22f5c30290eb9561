/**
 * Moves labels apart so that none covers another: each keeps at least `gap` to the next, as near to its wish as that allows,
 * inside 0 to 100. Order by height is kept.
 * @param wishes positions in percent
 */
export function spread(wishes: readonly number[], gap: number): number[] {
  const order = wishes.map((at, i) => ({ at, i })).sort((a, b) => a.at - b.at || a.i - b.i)
  // Labels that touch form a block around the mean of their wishes; blocks that meet become one.
  type Block = { members: { at: number; i: number }[]; centre: number }
  const place = (members: Block['members']): Block => {
    const mean = members.reduce((sum, m) => sum + m.at, 0) / members.length
    const half = ((members.length - 1) * gap) / 2
    return { members, centre: Math.max(half, Math.min(100 - half, mean)) }
  }
  const blocks: Block[] = []
  for (const label of order) {
    let block = place([label])
    for (let last = blocks.at(-1); last; last = blocks.at(-1)) {
      const lastFoot = last.centre + ((last.members.length - 1) * gap) / 2
      const head = block.centre - ((block.members.length - 1) * gap) / 2
      if (head - lastFoot >= gap) break
      blocks.pop()
      block = place([...last.members, ...block.members])
    }
    blocks.push(block)
  }
  const placed = new Array<number>(wishes.length)
  for (const b of blocks)
    b.members.forEach((m, k) => {
      placed[m.i] = b.centre + (k - (b.members.length - 1) / 2) * gap
    })
  return placed
}

/**
 * Which of some tags on one line may be drawn so that none covers another: the first always, then every one at least `gap`
 * after the last drawn. What is left out is said in words.
 * @param places positions in percent, in any order
 */
export function apart(places: readonly number[], gap: number): boolean[] {
  const drawn = places.map(() => false)
  let last = Number.NEGATIVE_INFINITY
  for (const { at, i } of places.map((at, i) => ({ at, i })).sort((a, b) => a.at - b.at)) {
    if (at - last < gap) continue
    drawn[i] = true
    last = at
  }
  return drawn
}
