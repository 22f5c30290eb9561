/**
 * Tells whether anything was written to some tables since somebody looked: the time of a database counts its commits, and each table
 * remembers its last one.
 */
export class TableClock {
  #now = 0
  /** The last commit of which nobody knows what it wrote. */
  #any = 0
  readonly #last = new Map<string, number>()
  /** What the transaction under way has written so far; there is one at a time. */
  #open: ReadonlySet<string> = new Set()
  #elsewhere: () => number = () => 0
  #heard = 0

  /** @param elsewhere a number that is another one after each commit of another connection to the same database */
  listen(elsewhere: () => number): void {
    this.#elsewhere = elsewhere
    this.#heard = elsewhere()
  }

  /** A transaction begins; `written` fills up with the tables that it writes. */
  begin(written: ReadonlySet<string>): void {
    this.#open = written
  }

  /** A commit is safe. @param tables what it wrote, `ANY_TABLE` among them where that is not known */
  committed(tables: ReadonlySet<string>): void {
    this.#now++
    for (const table of tables) this.#last.set(table, this.#now)
    if (tables.has(ANY_TABLE)) this.#any = this.#now
  }

  /** The time of the last commit that wrote one of these tables. */
  at(tables: readonly string[]): number {
    const heard = this.#elsewhere()
    if (heard !== this.#heard) {
      this.#heard = heard
      this.#any = ++this.#now
    }
    return Math.max(this.#any, ...tables.map(t => this.#last.get(t) ?? 0))
  }

  /** Whether the transaction under way has written one of these tables. */
  isOpen(tables: readonly string[]): boolean {
    return this.#open.has(ANY_TABLE) || tables.some(t => this.#open.has(t))
  }
}

/** Stands for a table whose name a statement does not tell. */
export const ANY_TABLE = '*'
