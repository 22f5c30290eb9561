import { z } from 'zod'
import { formKey, lines } from '@/lib/units/form-fields'
import { type Minor, parseMoney } from '@/lib/units/money'
import { TAX_BY } from './invoice'

/** An amount as typed; empty is null: all that is left. */
const amount = (currency: string) =>
  z
    .string()
    .default('')
    .transform((text, issue): Minor | null => {
      if (!text.trim()) return null
      const read = parseMoney(text, currency)
      if (read.ok) return read.value
      issue.addIssue({ code: 'custom', message: read.message })
      return z.NEVER
    })

/** A form that writes an invoice. */
export const invoiceInput = (currency: string) => z.object({ amount: amount(currency), formKey })

/** A form that writes a credit note. */
export const creditInput = (currency: string) =>
  z.object({
    amount: amount(currency),
    lowers: z.enum(['lowers', 'anew'], { error: 'Choose what it is for.' }).transform(v => v === 'lowers'),
    why: lines('The reason', 300).default(''),
    formKey,
  })

const whole = (least: number, most: number, words: string) =>
  z
    .string({ error: words })
    .trim()
    .regex(/^\d{1,8}$/, words)
    .transform(Number)
    .pipe(z.int().min(least, words).max(most, words))

const prefix = z
  .string()
  .default('')
  .transform(text => text.trim())
  .pipe(z.string().regex(/^[\p{L}\p{N}/-]{0,12}$/u, 'Up to 12 letters, digits, “-” or “/”.'))

/** What stands on invoices, as typed. */
export const invoicingInput = z.object({
  seller: lines('The name and address', 500)
    .default('')
    .refine(t => t.length > 0, 'An invoice names who writes it: type the shop’s full name and address.'),
  taxNumber: lines('The tax number', 60).default(''),
  bank: lines('Where to pay', 300).default(''),
  days: whole(0, 365, 'Type whole days, 0 to 365.'),
  note: lines('The note', 500).default(''),
  prefix,
  creditPrefix: prefix,
  first: whole(1, 99_999_999, 'Type a whole number from 1.'),
  firstCredit: whole(1, 99_999_999, 'Type a whole number from 1.'),
  taxBy: z.enum(TAX_BY, { error: 'Choose when tax is owed.' }).default('invoices'),
})
