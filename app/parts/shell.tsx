import Link from 'next/link'
import type { ReactNode } from 'react'
import { classNames } from './class-names'
import { RegistrationMark } from './mark'
import type { Palette } from './palette'
import { PaletteSwitch } from './palette-switch'
import { ROOMS, type RoomKey } from './rooms'
import styles from './shell.module.css'

/**
 * What stands around every room: the sign, the shop's name, the five rooms, the person, and a banner while this is a demo.
 * On a phone the rooms stand at the foot, within reach of a thumb. Everything comes as props.
 * @param shopName as the shop calls itself
 * @param room the room one is in; none on pages beside the rooms
 * @param rooms those that this person may enter; all of them when left out
 * @param waiting how many things wait for somebody, by room: shown as a small number
 * @param person who is signed in; without one there is no menu
 * @param menu links of the person's menu
 * @param signOut a form or button that signs out
 * @param demo a demo shop: marked on every page; leave is where its banner's link goes
 * @param palette what the person chose, if anything
 * @param tools stands before the person's name: a search field
 */
export function Shell({
  shopName,
  room,
  rooms,
  waiting,
  person,
  menu = [],
  signOut,
  demo,
  palette,
  tools,
  children,
}: {
  shopName: string
  room?: RoomKey
  rooms?: readonly RoomKey[]
  waiting?: Partial<Record<RoomKey, number>>
  person?: { name: string; role?: string }
  menu?: readonly { href: string; label: string }[]
  signOut?: ReactNode
  demo?: boolean | { leave: string }
  palette?: Palette
  tools?: ReactNode
  children: ReactNode
}) {
  return (
    <div className={styles.shell}>
      <a className={styles.skip} href="#work">
        Skip to the work
      </a>
      {demo && (
        <aside className={styles.demo} aria-label="Demo shop" data-screen-only>
          <p>
            <b>Demo shop.</b> Names and orders are invented; nothing leaves this computer.
          </p>
          {typeof demo === 'object' && <Link href={demo.leave}>Set up your own</Link>}
        </aside>
      )}
      <header className={styles.bar} data-screen-only>
        <Link className={styles.shop} href="/">
          <RegistrationMark size={30} />
          <span className={styles.name}>{shopName}</span>
        </Link>
        <nav className={styles.rooms} aria-label="Rooms">
          {ROOMS.filter(r => !rooms || rooms.includes(r.key)).map(r => (
            <Link
              key={r.key}
              href={r.href}
              className={classNames(styles.room, r.key === room && styles.here)}
              aria-current={r.key === room ? 'page' : undefined}
            >
              {r.name}
              {!!waiting?.[r.key] && (
                <span className={styles.waiting}>
                  {waiting[r.key]}
                  <span className="aloud"> waiting</span>
                </span>
              )}
            </Link>
          ))}
        </nav>
        {tools && <div className={styles.tools}>{tools}</div>}
        {person && (
          <>
            <button type="button" className={styles.person} popoverTarget="person-menu">
              <span className={styles.personName}>{person.name}</span>
              {person.role && <span className={styles.role}>{person.role}</span>}
              <span className="aloud">, menu</span>
            </button>
            <div id="person-menu" popover="auto" className={styles.menu}>
              {menu.map(m => (
                <Link key={m.href} href={m.href}>
                  {m.label}
                </Link>
              ))}
              <PaletteSwitch chosen={palette} />
              {signOut && <div className={styles.signOut}>{signOut}</div>}
            </div>
          </>
        )}
      </header>
      <main id="work" tabIndex={-1} className={styles.work}>
        {children}
      </main>
    </div>
  )
}
