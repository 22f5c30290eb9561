'use client'
import { useState } from 'react'
import { Field } from '@/app/parts/field'
import { Row } from '@/app/parts/row'
import styles from './counter.module.css'

/** A customer to choose from. */
export type KnownCustomer = { id: string; name: string; contact: string }

/**
 * Who orders: type a name; a known one is taken from the list, any other is written down anew, with how to reach them.
 * @param chosen the customer of an order that is changed
 */
export function CustomerChoice({
  customers,
  chosen,
}: {
  customers: readonly KnownCustomer[]
  chosen?: KnownCustomer
}) {
  const [typed, setTyped] = useState(chosen ? labelOf(chosen, customers) : '')
  const known =
    customers.find(c => labelOf(c, customers).toLowerCase() === typed.trim().toLowerCase()) ??
    (chosen && labelOf(chosen, customers) === typed ? chosen : undefined)
  const isNew = typed.trim() !== '' && !known
  return (
    <div className={styles.newCustomer}>
      <Field
        name="customer.name"
        label="Customer"
        hint={
          known
            ? 'Known here.'
            : isNew
              ? 'New: will be written down with this order.'
              : 'Type a name: known customers are offered as you type.'
        }
        value={typed}
        onChange={e => setTyped(e.currentTarget.value)}
        list="known-customers"
        maxLength={200}
        autoFocus={!chosen}
      />
      <datalist id="known-customers">
        {customers.map(c => (
          <option key={c.id} value={labelOf(c, customers)} />
        ))}
      </datalist>
      <input type="hidden" name="customerId" value={known?.id ?? ''} />
      {isNew && (
        <Row>
          <Field name="customer.contact" label="Contact" required={false} size={20} maxLength={200} />
          <Field name="customer.phone" label="Phone" required={false} type="tel" size={16} maxLength={60} />
          <Field
            name="customer.email"
            label="E-mail"
            required={false}
            type="email"
            size={26}
            maxLength={250}
          />
        </Row>
      )}
    </div>
  )
}

/** Two customers of one name are told apart by their contact. */
function labelOf(customer: KnownCustomer, all: readonly KnownCustomer[]): string {
  const twins = all.filter(c => c.name === customer.name)
  if (twins.length < 2) return customer.name
  return `${customer.name} (${customer.contact || `no. ${twins.findIndex(c => c.id === customer.id) + 1}`})`
}
