import { z } from 'zod'
import { formKey, line } from '@/lib/units/form-fields'
import { parseMoney } from '@/lib/units/money'

/** What an order cost outside the shop. A cost taken back is typed with a minus. */
export const orderCostInput = (currency: string) =>
  z.object({
    kind: z.enum(['outside', 'freight'], { error: 'Choose what it was for.' }),
    amount: z.string({ error: 'The amount is missing.' }).transform((text, issue) => {
      const read = parseMoney(text, currency)
      if (read.ok) return read.value
      issue.addIssue({ code: 'custom', message: read.message })
      return z.NEVER
    }),
    note: line('The note', 300).default(''),
    formKey,
  })
