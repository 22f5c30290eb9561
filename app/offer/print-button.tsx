'use client'
import { Button } from '@/app/parts/button'

/** Prints the page, or keeps it as a PDF: the browser asks which. */
export const PrintButton = () => (
  <Button look="quiet" onClick={() => window.print()}>
    Print or keep as PDF
  </Button>
)
