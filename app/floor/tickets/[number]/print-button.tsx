'use client'
import { Button } from '@/app/parts/button'

/** Opens the browser's own print window. */
export function PrintButton() {
  return (
    <Button look="primary" size="floor" onClick={() => window.print()}>
      Print
    </Button>
  )
}
