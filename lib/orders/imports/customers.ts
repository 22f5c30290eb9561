import { z } from 'zod'
import { customerFields } from '../input'
import type { Customer } from '../order'
import {
  type Change,
  type Column,
  cellsBy,
  type ImportPlan,
  type Matching,
  type RowError,
  type Table,
} from './table'

/** What a row can say of a customer. */
export const CUSTOMER_COLUMNS = [
  {
    key: 'name',
    label: 'Name',
    needed: true,
    heads: ['customer', 'company', 'organisation', 'organization', 'client', 'full name'],
  },
  { key: 'contact', label: 'Contact', heads: ['contact person', 'contact name', 'attention'] },
  { key: 'email', label: 'E-mail', heads: ['mail', 'email address', 'e mail address'] },
  { key: 'phone', label: 'Phone', heads: ['telephone', 'mobile', 'phone number', 'tel'] },
  { key: 'address', label: 'Address', heads: ['postal address', 'street', 'street address'] },
  { key: 'note', label: 'Note', heads: ['notes', 'remark', 'remarks', 'comment'] },
  { key: 'taxExempt', label: 'Tax exempt', heads: ['exempt', 'no tax'] },
] as const satisfies readonly Column[]

export type CustomerValues = Omit<Customer, 'id' | 'version'>
export type CustomerEdit = { id: string; version: number; to: CustomerValues }

const YES = ['yes', 'y', 'true', '1', 'x', 'on']
const NO = ['no', 'n', 'false', '0', '']
const read = z.object({ ...customerFields, taxExempt: z.boolean().default(false) })
const plain = (text: string) => text.replace(/\s+/g, ' ').trim().toLowerCase()

/** Customers by e-mail address and by name, so that a long file is looked through once. */
class Book {
  readonly #byMail = new Map<string, Customer[]>()
  readonly #byName = new Map<string, Customer[]>()

  constructor(known: readonly Customer[]) {
    for (const c of known) this.add(c)
  }

  add(customer: Customer): void {
    const put = (map: Map<string, Customer[]>, key: string) => {
      const list = map.get(key)
      if (list) list.push(customer)
      else map.set(key, [customer])
    }
    if (customer.email) put(this.#byMail, plain(customer.email))
    put(this.#byName, plain(customer.name))
  }

  /** What a row makes of a customer: later rows find the new name and address, as they would the next time. */
  replace(before: Customer, after: Customer): void {
    const drop = (map: Map<string, Customer[]>, key: string) =>
      map.set(
        key,
        (map.get(key) ?? []).filter(c => c !== before),
      )
    if (before.email) drop(this.#byMail, plain(before.email))
    drop(this.#byName, plain(before.name))
    this.add(after)
  }

  /**
   * Whom a row is about: whoever has its e-mail address, the one with its name where several have it; without an address, whoever has its name (and its
   * contact, where two have the name). More than one where that does not tell.
   */
  find(row: Pick<CustomerValues, 'name' | 'email' | 'contact'>): Customer[] {
    const byMail = row.email ? (this.#byMail.get(plain(row.email)) ?? []) : []
    let found = byMail
    if (byMail.length > 1) found = byMail.filter(c => plain(c.name) === plain(row.name))
    if (byMail.length === 0) {
      // An address that nobody has: somebody of this name may be here without one.
      found = (this.#byName.get(plain(row.name)) ?? []).filter(c => !row.email || c.email === '')
      if (found.length > 1 && row.contact) {
        const talked = found.filter(c => plain(c.contact) === plain(row.contact))
        if (talked.length > 0) found = talked
      }
    }
    return found
  }
}

const WORDS: Record<keyof CustomerValues, string> = {
  name: 'name',
  contact: 'contact',
  email: 'e-mail',
  phone: 'phone',
  address: 'address',
  note: 'note',
  taxExempt: 'tax exempt',
}
const shown = (value: string | boolean) =>
  typeof value === 'boolean' ? (value ? 'yes' : 'no') : value || 'nothing'

/**
 * What a file of customers would do. A cell that is empty leaves what is known here as it is. Whoever stands in the file twice is
 * taken from the first row, and the second is told. A file renames nobody: what it made of a name would be somebody else the next time.
 */
export function planCustomers(
  table: Table,
  matching: Matching,
  known: readonly Customer[],
): ImportPlan<CustomerValues, CustomerEdit> {
  const changes: Change<CustomerValues, CustomerEdit>[] = []
  const errors: RowError[] = []
  const seen = new Map<string, number>()
  const book = new Book(known)
  for (const { line, cells } of table.rows) {
    const { taxExempt, ...typed } = cellsBy(cells, matching)
    const exempt = taxExempt?.toLowerCase()
    if (exempt !== undefined && ![...YES, ...NO].includes(exempt)) {
      errors.push({ line, message: `Tax exempt is “${taxExempt?.slice(0, 30)}”: write yes or no.` })
      continue
    }
    const checked = read.safeParse({ ...typed, taxExempt: YES.includes(exempt ?? '') })
    if (!checked.success) {
      errors.push({ line, message: checked.error.issues[0]?.message ?? 'This row cannot be read.' })
      continue
    }
    const row = checked.data
    const found = book.find(row)
    if (found.length > 1) {
      // Rows further on wait too: which of them is meant here may be told apart only once they are in.
      for (const one of found) if (!seen.has(one.id)) seen.set(one.id, line)
      errors.push({
        line,
        message: `Several customers here are called “${row.name}”: give the row the e-mail address of one of them.`,
      })
      continue
    }
    const who = found[0]
    if (who && plain(who.name) !== plain(row.name)) {
      errors.push({
        line,
        message: `“${row.email}” is ${who.name}’s here: give the row that name, or change the name on the customer’s own page first.`,
      })
      continue
    }
    const before = who && seen.get(who.id)
    if (before !== undefined && before !== null) {
      errors.push({
        line,
        message: `“${row.name}” stands on line ${before} already: keep one of the two rows.`,
      })
      continue
    }
    if (!who) {
      const id = `line ${line}`
      seen.set(id, line)
      book.add({ id, version: 0, ...row })
      changes.push({ line, kind: 'new', name: row.name, value: row })
      continue
    }
    seen.set(who.id, line)
    const to: CustomerValues = {
      name: row.name,
      contact: row.contact || who.contact,
      email: row.email || who.email,
      phone: row.phone || who.phone,
      address: row.address || who.address,
      note: row.note || who.note,
      taxExempt: exempt ? row.taxExempt : who.taxExempt,
    }
    book.replace(who, { ...who, ...to })
    const words = (Object.keys(WORDS) as (keyof CustomerValues)[])
      .filter(k => to[k] !== who[k])
      .map(k => `${WORDS[k]}: ${shown(who[k])} → ${shown(to[k])}`)
    changes.push(
      words.length === 0
        ? { line, kind: 'same', name: row.name }
        : { line, kind: 'change', name: row.name, value: { id: who.id, version: who.version, to }, words },
    )
  }
  return { changes, errors }
}
