'use client'
import { type ComponentProps, useState } from 'react'
import { SelectField } from '@/app/parts/select-field'

/**
 * A SelectField that keeps the value it began with as its default while the form around it follows what is chosen: so it is not
 * made anew at each choice, and the focus stays in it. Give it a new key where it should begin anew.
 */
export function ChoosingField({ value, ...rest }: ComponentProps<typeof SelectField>) {
  const [first] = useState(value)
  return <SelectField value={first} {...rest} />
}
