'use client'
import '@fontsource-variable/archivo/wdth.css'
import './look/tokens.css'
import './look/base.css'
import Failure from './error'

/** The same as in a room, where not even the bare page could be drawn. */
export default function GlobalFailure(props: Parameters<typeof Failure>[0]) {
  return (
    <html lang="en">
      <body>
        <main>
          <Failure {...props} />
        </main>
      </body>
    </html>
  )
}
