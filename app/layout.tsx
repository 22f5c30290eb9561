import '@fontsource-variable/archivo/wdth.css'
import './look/tokens.css'
import './look/base.css'
import './look/print.css'
import type { Metadata, Viewport } from 'next'
import { cookies } from 'next/headers'
import type { ReactNode } from 'react'
import { PALETTE_COOKIE, type Palette } from './parts/palette'

export const metadata: Metadata = {
  title: { default: 'Shirtwright', template: '%s · Shirtwright' },
  description: 'The working tool of a small garment print shop',
  robots: { index: false, follow: false },
  referrer: 'same-origin',
  formatDetection: { telephone: false, date: false, address: false, email: false },
}

export const viewport: Viewport = {
  width: 'device-width',
  initialScale: 1,
  viewportFit: 'cover',
  themeColor: [
    { media: '(prefers-color-scheme: light)', color: '#fcfaf5' },
    { media: '(prefers-color-scheme: dark)', color: '#201d17' },
  ],
}

/** The bare page: language, type, colours. Rooms draw their own shell in it. */
export default async function RootLayout({ children }: { children: ReactNode }) {
  // Read on the server, so the first paint is already in the palette that the person chose.
  const chosen = (await cookies()).get(PALETTE_COOKIE)?.value
  const palette: Palette | undefined = chosen === 'day' || chosen === 'night' ? chosen : undefined
  return (
    <html lang="en" data-palette={palette} suppressHydrationWarning>
      <body>{children}</body>
    </html>
  )
}
