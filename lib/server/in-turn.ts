const waiting = new Map<string, Promise<unknown>>()

/**
 * Lets what is asked under one name be done one after another, in the order in which it was asked; other names do not wait. For tries that
 * are counted: the right ones that come at one moment must not count against each other.
 */
export function inTurn<T>(name: string, work: () => Promise<T>): Promise<T> {
  const before = waiting.get(name) ?? Promise.resolve()
  const mine = before.then(work, work)
  const settled = mine.catch(() => undefined)
  waiting.set(name, settled)
  void settled.then(() => {
    if (waiting.get(name) === settled) waiting.delete(name)
  })
  return mine
}
