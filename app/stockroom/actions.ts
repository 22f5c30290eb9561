'use server'
import { revalidatePath } from 'next/cache'
import { redirect } from 'next/navigation'
import { allOf, fieldsOf, isBoundNumber, isBoundText, readForm, strayed } from '@/app/forms'
import type { FormAnswer } from '@/app/parts/form-context'
import { replan } from '@/lib/planning/store'
import { personWith } from '@/lib/server/session'
import { blanksOf, newStyleInput } from '@/lib/shop/new-style'
import { shop } from '@/lib/shop/store'
import {
  cameLines,
  countInput,
  endPurchaseInput,
  extendLotInput,
  itemInput,
  moveInput,
  newItemInput,
  purchaseInput,
  purchaseLines,
  receiveInput,
  receivePurchaseInput,
  supplierInput,
  takeBackInput,
} from '@/lib/stock/input'
import { formatAmount } from '@/lib/stock/items'
import { addItem, addStyle, changeItem } from '@/lib/stock/items/store'
import { bearsOnPlan } from '@/lib/stock/promises'
import { PURCHASE_WORDS } from '@/lib/stock/purchase'
import {
  endPurchase,
  findPurchase,
  purchaseSent,
  receivePurchase,
  writePurchase,
} from '@/lib/stock/purchases/store'
import { bookAtShelf, extendLot, returnFromOrder, takeBackLine } from '@/lib/stock/store'
import { changeSupplier } from '@/lib/stock/suppliers/store'
import { findItem, type ItemLine, listItems } from '@/lib/stock/views/store'
import { minorToMicro } from '@/lib/units/money'
import { type Result, refuse } from '@/lib/units/result'
import { instantOf } from '@/lib/units/time'
import { itemHref } from './show'

const now = () => instantOf(new Date())
// Other rooms show what is free and what an order took.
const refresh = () => revalidatePath('/', 'layout')
const gone = (sku: string) =>
  refuse('no-item', `There is no item ${sku.slice(0, 60)}: choose one from the list of items.`)
const contextOf = (item: ItemLine, currency: string) => ({
  unit: item.unit,
  pack: item.pricePer,
  widthMm: item.widthMm,
  price: item.price,
  currency,
  breaks: item.breaks,
})

/** The person, the item and how its amounts are read; or why not. */
async function atShelf(sku: string) {
  const person = await personWith('stock.move')
  if (!person.ok) return person
  if (!isBoundText(sku)) return strayed()
  const item = await findItem(sku)
  if (!item) return gone(sku)
  const { currency, timeZone } = await shop()
  return { ok: true as const, by: person.value, item, context: contextOf(item, currency), timeZone }
}

async function booked(item: ItemLine, done: Result<unknown>, what: string): Promise<FormAnswer> {
  if (!done.ok) return done
  const after = await findItem(item.sku)
  const { promised = 0, onHand = 0 } = after?.level ?? {}
  if (item.kind === 'blank' && bearsOnPlan(promised, item.level.onHand, onHand))
    await replan(`${item.name}: ${what.replace('.', '').toLowerCase()}`, now())
  refresh()
  return { ok: true, message: `${what} On hand now: ${formatAmount(onHand, item.unit)}.` }
}

/** Books a count of one shelf. */
export async function countAction(
  sku: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const at = await atShelf(sku)
  if (!at.ok) return at
  const read = readForm(countInput(at.context), form)
  if (!read.ok) return read.answer
  const { found, why, formKey } = read.value
  const done = await bookAtShelf({ sku, by: at.by, now: now(), formKey }, { kind: 'counted', found, why })
  return booked(at.item, done, 'Counted.')
}

/** Books goods that came without a purchase. */
export async function receiveAction(
  sku: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const at = await atShelf(sku)
  if (!at.ok) return at
  const read = readForm(receiveInput(at.context, at.timeZone), form)
  if (!read.ok) return read.answer
  const { quantity, value, why, came, formKey } = read.value
  const done = await bookAtShelf(
    { sku, by: at.by, now: now(), formKey },
    { kind: 'received', quantity, value, why },
    { came },
  )
  return booked(at.item, done, 'Received.')
}

/** Books goods out by hand, or back from an order. */
export async function moveAction(
  sku: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const at = await atShelf(sku)
  if (!at.ok) return at
  const read = readForm(moveInput(at.context), form)
  if (!read.ok) return read.answer
  const { kind, quantity, order, why, lot, formKey } = read.value
  const booking = { sku, by: at.by, now: now(), formKey }
  if (kind === 'order')
    return booked(at.item, await returnFromOrder(booking, Number(order), quantity, why), 'Back on the shelf.')
  const done = await bookAtShelf(
    booking,
    kind === 'spoiled'
      ? { kind: 'spoiled', quantity, why }
      : { kind: 'returned', to: 'supplier', quantity, why },
    lot === 'any' ? {} : { only: lot },
  )
  return booked(at.item, done, 'Booked out.')
}

/** Notes that a lot is good for longer. */
export async function extendLotAction(
  sku: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const at = await atShelf(sku)
  if (!at.ok) return at
  const read = readForm(extendLotInput(at.timeZone), form)
  if (!read.ok) return read.answer
  const done = await extendLot({ sku, ...read.value }, at.by, now())
  if (!done.ok) return done
  refresh()
  return { ok: true, message: `Lot ${read.value.lot} is used until then.` }
}

/** Takes a line of the book back by a counter-movement. */
export async function takeBackAction(
  sku: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const at = await atShelf(sku)
  if (!at.ok) return at
  const read = readForm(takeBackInput, form)
  if (!read.ok) return read.answer
  const { movement, formKey } = read.value
  return booked(at.item, await takeBackLine({ sku, by: at.by, now: now(), formKey }, movement), 'Taken back.')
}

/** Changes an item's facts. */
export async function changeItemAction(
  sku: string,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('stock.buy')
  if (!person.ok) return person
  if (!isBoundText(sku)) return strayed()
  const item = await findItem(sku)
  if (!item) return gone(sku)
  const read = readForm(itemInput(contextOf(item, (await shop()).currency)), form)
  if (!read.ok) return read.answer
  const { version, ...change } = read.value
  const done = await changeItem(sku, version, change, person.value, now())
  if (!done.ok) return done
  refresh()
  redirect(itemHref(sku))
}

/** Adds an item. */
export async function newItemAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('stock.buy')
  if (!person.ok) return person
  const read = readForm(newItemInput((await shop()).currency), form)
  if (!read.ok) return read.answer
  const done = await addItem(read.value, person.value, now())
  if (!done.ok) return done
  refresh()
  redirect(itemHref(read.value.sku))
}

/** Writes a purchase. */
export async function writePurchaseAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('stock.buy')
  if (!person.ok) return person
  const { currency, timeZone } = await shop()
  const head = readForm(purchaseInput(timeZone), form)
  const lines = purchaseLines(
    fieldsOf(form),
    (await listItems()).map(i => ({ id: i.id, ...contextOf(i, currency) })),
  )
  const errors = { ...(head.ok || head.answer.ok ? {} : head.answer.errors), ...lines.errors }
  const [first] = Object.values(errors)
  if (!head.ok || first) return { ok: false, message: first ?? 'Look the form over.', errors }
  const { supplier, dueAt, note, formKey } = head.value
  const done = await writePurchase({
    supplier,
    dueAt,
    note,
    rows: lines.rows,
    by: person.value,
    now: now(),
    formKey,
  })
  if (!done.ok) return done
  refresh()
  redirect(`/stockroom/purchases/${done.value}`)
}

/** Receives a purchase, in part or whole. */
export async function receivePurchaseAction(
  number: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('stock.move')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const purchase = await findPurchase(number)
  if (!purchase) return refuse('no-purchase', `There is no purchase ${number}: choose one from the list.`)
  const read = readForm(receivePurchaseInput, form)
  if (!read.ok) return read.answer
  const { currency, timeZone } = await shop()
  const came = cameLines(fieldsOf(form), purchase.lines, currency, timeZone)
  const [first] = Object.values(came.errors)
  if (first) return { ok: false, message: first, errors: came.errors }
  const done = await receivePurchase(
    number,
    read.value.version,
    came.rows,
    person.value,
    now(),
    read.value.keepMore,
  )
  if (!done.ok) return done
  // Work that waited for these goods can be planned now.
  await replan(`purchase ${number} came in`, now())
  refresh()
  redirect(`/stockroom/purchases/${number}?done=${done.value}`)
}

/** Notes that a purchase went out. */
export async function sentPurchaseAction(
  number: number,
  version: number,
  _before: FormAnswer | null,
  _form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('stock.buy')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  if (!isBoundNumber(version)) return strayed()
  const done = await purchaseSent(number, version, person.value, now())
  if (!done.ok) return done
  // Work that lacks these goods now has a day to wait for.
  await replan(`purchase ${number} sent`, now())
  refresh()
  return { ok: true, message: `Purchase ${number} is with the supplier: its goods are on the way.` }
}

/** Writes down what is known of a supplier. */
export async function supplierAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('stock.buy')
  if (!person.ok) return person
  const read = readForm(supplierInput((await shop()).currency), form)
  if (!read.ok) return read.answer
  const done = await changeSupplier(read.value, person.value, now())
  if (!done.ok) return done
  refresh()
  return { ok: true, message: `Saved for every purchase from ${read.value.name}.` }
}

/** Ends a purchase of which nothing more comes. */
export async function endPurchaseAction(
  number: number,
  _before: FormAnswer | null,
  form: FormData,
): Promise<FormAnswer> {
  const person = await personWith('stock.buy')
  if (!person.ok) return person
  if (!isBoundNumber(number)) return strayed()
  const read = readForm(endPurchaseInput, form)
  if (!read.ok) return read.answer
  const done = await endPurchase(number, read.value.version, read.value.why, person.value, now())
  if (!done.ok) return done
  // Work that waited for what does not come needs another day to wait for.
  await replan(`nothing more comes of purchase ${number}`, now())
  refresh()
  return { ok: true, message: `Purchase ${number} is ${PURCHASE_WORDS[done.value]}.` }
}

/** Writes a style of blanks down, with every colour in every size. */
export async function newStyleAction(_before: FormAnswer | null, form: FormData): Promise<FormAnswer> {
  const person = await personWith('stock.buy')
  if (!person.ok) return person
  const { currency } = await shop()
  const read = readForm(newStyleInput(currency), { ...fieldsOf(form), sizes: allOf(form, 'sizes') })
  if (!read.ok) return read.answer
  const style = read.value
  const { code, name, kind, fibres, supplier, leadDays, reorderPoint, reorderTo } = style
  const items = blanksOf(style).map(b => ({
    sku: b.sku,
    name: b.name,
    colour: b.colour,
    colourHex: b.hex,
    size: b.size,
    price: minorToMicro(b.price, currency),
    supplier,
    leadDays,
    reorderPoint,
    reorderTo,
  }))
  const done = await addStyle({ code, name, kind, fibres: { ...fibres }, items }, person.value, now())
  // A SKU that is taken is mended by another code: the SKUs begin with it.
  if (!done.ok) return { ...done, field: 'code' }
  refresh()
  redirect('/stockroom/blanks')
}
