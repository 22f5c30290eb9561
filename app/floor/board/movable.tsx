'use client'
import { type ReactNode, useCallback, useEffect, useRef, useState } from 'react'
import { placeAt, type StripRange, stretchOf, timeAt } from '@/app/parts/day-strip-place'
import type { ScreenRun, ScreenStation } from '@/lib/floor/views/screen'
import { formatMoment, formatTime, type Instant, instant } from '@/lib/units/time'
import styles from './board.module.css'
import { Consequences, useTrial } from './consequences'
import { RunSheet } from './run-sheet'

/** Minutes that a run is moved by: dragged or by an arrow, and with Shift. */
const SNAP = 5
const BIG = 60
/** Movement in px before a press becomes a drag, and how long a finger rests before it does, ms. */
const DRAG_PX = 5
const REST_MS = 350
const LOOKING = 'Looking at what this would mean.'
/** So near the edge of the strip it scrolls, px. */
const EDGE_PX = 48
/** Words that are written anew are painted anew: between two of them what is dragged is moved alone. */
const WORDS_MS = 100

/** Where the lanes stand on the page, px: read once when a run is taken, and again when something has scrolled. */
type Ground = {
  /** Of the board's box. */
  left: number
  top: number
  lanes: { top: number; bottom: number; trackLeft: number; trackTop: number; width: number; height: number }[]
}

/** A run as it is held: where it stood, where it is now. */
type Held = {
  id: string
  name: string
  element: HTMLElement
  lanes: number[]
  lane: number
  start: number
  length: number
  at: { lane: number; start: number }
  /** By keyboard, or where on the run the pointer took it, px from its left edge. */
  by: 'keys' | number
  ground: Ground
  /** Whether the strip is wider than its box. */
  scrolls: boolean
}

/**
 * A board whose runs can be taken: by mouse, by a finger that rests on them, or by keyboard (Space takes a run, arrows move it, Enter
 * shows what that would mean, Escape puts it back). Nothing moves on the plan before it is taken in the dialog. While something is dragged
 * one element moves over the strip by the compositor, and nothing else is drawn or measured.
 * @param stations the lanes that are shown, with their runs
 * @param plans whether this person may change the plan
 * @param onDone called when a change was taken
 */
export function Movable({
  range,
  zone,
  stations,
  lists,
  plans,
  onDone,
  children,
}: {
  range: StripRange
  zone: string
  stations: readonly ScreenStation[]
  lists: readonly { key: string; name: string }[]
  plans: boolean
  onDone: () => void
  children: ReactNode
}) {
  const box = useRef<HTMLDivElement>(null)
  const ghost = useRef<HTMLDivElement>(null)
  const shield = useRef<HTMLDivElement>(null)
  const held = useRef<Held | null>(null)
  /** When the words of what is dragged were written last, and the timer that writes what they have become since. */
  const written = useRef(Number.NEGATIVE_INFINITY)
  const writing = useRef<ReturnType<typeof setTimeout>>(undefined)
  const [said, say] = useState('')
  const [open, setOpen] = useState<string | null>(null)
  const trial = useTrial(onDone)
  const latest = useRef({ range, zone, stations, plans, trial })
  useEffect(() => {
    latest.current = { range, zone, stations, plans, trial }
  })

  const trying = trial.state.is
  useEffect(() => {
    // What was said while it was looked at is over with the answer.
    if (trying !== 'trying') say(words => (words === LOOKING ? '' : words))
  }, [trying])

  const letGo = useCallback((words: string) => {
    const h = held.current
    if (!h) return
    held.current = null
    clearTimeout(writing.current)
    written.current = Number.NEGATIVE_INFINITY
    h.element.removeAttribute('data-held')
    for (const lane of box.current?.querySelectorAll('[data-target]') ?? [])
      lane.removeAttribute('data-target')
    if (ghost.current) ghost.current.hidden = true
    if (shield.current) shield.current.hidden = true
    if (words) say(words)
  }, [])

  /** Draws what is held where it is now: one element, moved by the compositor. */
  const draw = useCallback(() => {
    const h = held.current
    const g = ghost.current
    const root = box.current
    const on = h?.ground.lanes[h.at.lane]
    if (!h || !g || !root || !on) return
    const { range, zone } = latest.current
    const place = stretchOf(h.at.start, h.at.start + h.length, range)
    const left = on.trackLeft - h.ground.left + (placeAt(h.at.start, range) / 100) * on.width
    const width = `${Math.round(Math.max(24, ((place?.width ?? 1) / 100) * on.width))}px`
    const height = `${Math.round(on.height - 8)}px`
    g.style.transform = `translate3d(${left}px, ${on.trackTop - h.ground.top + 4}px, 0)`
    // Only what has changed is written: every other frame is a move alone.
    if (g.hidden) g.hidden = false
    if (g.style.width !== width) g.style.width = width
    if (g.style.height !== height) g.style.height = height
    const wait = written.current + WORDS_MS - performance.now()
    clearTimeout(writing.current)
    const write = () => {
      const text = g.firstElementChild
      const words = `${h.name} ${formatTime(instant(h.at.start), zone)}`
      if (held.current !== h || !text || text.textContent === words) return
      text.textContent = words
      written.current = performance.now()
    }
    if (wait <= 0 || h.by === 'keys') write()
    else writing.current = setTimeout(write, wait)
    const lane = laneOf(root, h.at.lane)
    if (lane && !lane.hasAttribute('data-target')) {
      for (const other of root.querySelectorAll('[data-target]')) other.removeAttribute('data-target')
      lane.setAttribute('data-target', '')
    }
  }, [])

  const whereWords = useCallback((h: Held) => {
    const { zone, stations } = latest.current
    return `${stations[h.at.lane]?.name}, ${formatMoment(instant(h.at.start), zone)} to ${formatTime(instant(h.at.start + h.length), zone)}`
  }, [])

  /** Shows what the move would mean. Nothing is written. */
  const drop = useCallback(() => {
    const h = held.current
    if (!h) return
    const { stations, trial } = latest.current
    const moved = h.at.lane !== h.lane || h.at.start !== h.start
    const station = stations[h.at.lane]
    letGo(moved ? LOOKING : 'Put back where it was.')
    if (moved && station)
      trial.ask({ kind: 'move', step: h.id, station: station.id, start: h.at.start as Instant })
  }, [letGo])

  useEffect(() => {
    const root = box.current
    if (!root) return
    let pressed: { element: HTMLElement; x: number; y: number; touch: boolean } | null = null
    let resting: ReturnType<typeof setTimeout> | undefined
    let frame = 0
    /** Something has scrolled since the lanes were measured. */
    let moved = false
    let pointer = { x: 0, y: 0 }
    /** The click that ends a drag opens nothing. */
    let dragged = false

    const take = (element: HTMLElement, by: Held['by']): Held | null => {
      const { plans, stations } = latest.current
      const id = element.dataset.run
      const lanes = element.dataset.can?.split(' ').map(Number)
      const lane = stations.findIndex(
        s => s.id === element.closest<HTMLElement>('[data-station]')?.dataset.station,
      )
      if (!plans || !id || !lanes || lane < 0) return null
      const start = Number(element.dataset.start)
      const h: Held = {
        id,
        name: String(factsOf(stations, id)?.run.number ?? ''),
        element,
        lanes,
        lane,
        start,
        length: Number(element.dataset.end) - start,
        at: { lane, start },
        by,
        ground: groundOf(root),
        scrolls: isScrolled(root),
      }
      moved = false
      held.current = h
      element.setAttribute('data-held', '')
      return h
    }
    const follow = () => {
      frame = 0
      const h = held.current
      if (!h) return
      if (h.by === 'keys') {
        if (moved) h.ground = groundOf(root)
        moved = false
        draw()
        return
      }
      const strip = root.querySelector<HTMLElement>('section')
      if (strip && h.scrolls) {
        const { left } = h.ground
        const right = left + strip.clientWidth
        const by = pointer.x > right - EDGE_PX ? 14 : pointer.x < left + EDGE_PX + 100 ? -14 : 0
        const was = strip.scrollLeft
        if (by) strip.scrollLeft += by
        if (by && strip.scrollLeft !== was) frame = requestAnimationFrame(follow)
      }
      const again = moved
      if (moved) h.ground = groundOf(root)
      moved = false
      const over = h.ground.lanes.findIndex(l => pointer.y >= l.top && pointer.y < l.bottom)
      const on = h.ground.lanes[h.at.lane]
      if (!on) return
      const { range } = latest.current
      const percent = ((pointer.x - h.by - on.trackLeft) / on.width) * 100
      const start = Math.round(timeAt(percent, range) / (SNAP * 60_000)) * SNAP * 60_000
      const lane = h.lanes.includes(over) ? over : h.at.lane
      // Back at its place to the minute, where it was only picked up.
      const near = lane === h.lane && Math.abs(start - h.start) < SNAP * 60_000
      const at = { lane, start: near ? h.start : start }
      if (at.lane === h.at.lane && at.start === h.at.start && !again) return
      h.at = at
      draw()
    }
    const down = (e: PointerEvent) => {
      const element = runOf(e.target)
      dragged = false
      if (!element?.dataset.can || e.button !== 0 || !latest.current.plans) return
      letGo('')
      const touch = e.pointerType === 'touch'
      pressed = { element, x: e.clientX, y: e.clientY, touch }
      pointer = { x: e.clientX, y: e.clientY }
      if (touch)
        resting = setTimeout(() => {
          if (pressed) begin()
        }, REST_MS)
    }
    const begin = () => {
      if (!pressed) return
      const h = take(pressed.element, 0)
      const on = h?.ground.lanes[h.lane]
      if (!h || !on) return
      // What was shown is the work; what moves begins with its changeover.
      h.by = pressed.x - (on.trackLeft + (placeAt(h.start, latest.current.range) / 100) * on.width)
      dragged = true
      // The pointer meets nothing else while it drags: each run below would be looked for and drawn as pointed at.
      if (shield.current) shield.current.hidden = false
      navigator.vibrate?.(10)
      draw()
    }
    const move = (e: PointerEvent) => {
      if (!pressed) return
      pointer = { x: e.clientX, y: e.clientY }
      const far = Math.hypot(e.clientX - pressed.x, e.clientY - pressed.y) > DRAG_PX
      if (!held.current) {
        if (!far) return
        if (pressed.touch) {
          // A finger that moves at once scrolls.
          clearTimeout(resting)
          pressed = null
          return
        }
        begin()
      }
      if (held.current && !frame) frame = requestAnimationFrame(follow)
    }
    const up = () => {
      clearTimeout(resting)
      pressed = null
      if (frame) {
        cancelAnimationFrame(frame)
        follow()
      }
      if (held.current && held.current.by !== 'keys') drop()
    }
    const cancel = () => {
      clearTimeout(resting)
      pressed = null
      if (held.current && held.current.by !== 'keys') letGo('Put back where it was.')
    }
    const scrolled = () => {
      moved = true
      if (held.current && !frame) frame = requestAnimationFrame(follow)
    }
    /** What a run says, for the mouse: written when it is pointed at, not with every run of the page. */
    const over = (e: PointerEvent) => {
      const element = e.pointerType === 'mouse' && !held.current ? runOf(e.target) : null
      if (element && !element.title) element.title = element.getAttribute('aria-label') ?? ''
    }
    const noScroll = (e: TouchEvent) => {
      if (held.current) e.preventDefault()
    }
    /** A run is dragged, not the address that it leads to. */
    const noLink = (e: DragEvent) => {
      if (runOf(e.target)) e.preventDefault()
    }
    const noMenu = (e: Event) => {
      if (pressed?.touch || held.current) e.preventDefault()
    }
    const click = (e: MouseEvent) => {
      if (dragged) {
        dragged = false
        e.preventDefault()
        e.stopPropagation()
        return
      }
      const element = runOf(e.target)
      if (!element) return
      if (e.button !== 0 || e.metaKey || e.ctrlKey || e.shiftKey || e.altKey) return
      if (!factsOf(latest.current.stations, element.dataset.run)) return
      e.preventDefault()
      e.stopPropagation()
      setOpen(element.dataset.run ?? null)
    }
    const keys = (e: KeyboardEvent) => {
      const h = held.current
      const element = runOf(e.target)
      if (h && e.key === 'Escape') {
        e.preventDefault()
        pressed = null
        letGo('Put back where it was.')
      } else if (h && h.by === 'keys') {
        const step = e.shiftKey ? BIG : SNAP * 3
        if (e.key === 'ArrowRight' || e.key === 'ArrowLeft')
          h.at = {
            lane: h.at.lane,
            start: shifted(h.at.start, e.key === 'ArrowRight' ? step : -step, latest.current.range),
          }
        else if (e.key === 'ArrowDown' || e.key === 'ArrowUp') {
          const by = e.key === 'ArrowDown' ? 1 : -1
          const next = h.lanes.filter(l => (l - h.at.lane) * by > 0).sort((a, b) => (a - b) * by)[0]
          if (next === undefined) {
            e.preventDefault()
            say(`No other station ${by > 0 ? 'below' : 'above'} can take it. ${whereWords(h)}`)
            return
          }
          h.at = { lane: next, start: h.at.start }
        } else if (e.key === 'Enter' || e.key === ' ') {
          e.preventDefault()
          drop()
          return
        } else {
          if (e.key === 'Tab') letGo('Put back where it was.')
          return
        }
        e.preventDefault()
        h.ground = groundOf(root)
        draw()
        intoSight(root, h, latest.current.range)
        say(whereWords(h))
      } else if (element && e.key === ' ') {
        e.preventDefault()
        const taken = take(element, 'keys')
        if (!taken) say('This run stays where it is.')
        else {
          draw()
          say(
            `${taken.name} taken. ${whereWords(taken)}. Arrow keys move it, Enter shows what that would mean, Escape puts it back.`,
          )
        }
      } else if (element && (e.key === 'ArrowLeft' || e.key === 'ArrowRight')) {
        // Along the station's runs.
        const all = [
          ...(element.closest('[data-station]')?.querySelectorAll<HTMLElement>('[data-run]') ?? []),
        ]
        const next = all[all.indexOf(element) + (e.key === 'ArrowRight' ? 1 : -1)]
        e.preventDefault()
        next?.focus()
      } else if (element && (e.key === 'ArrowDown' || e.key === 'ArrowUp')) {
        e.preventDefault()
        neighbour(root, element, e.key === 'ArrowDown' ? 1 : -1)?.focus()
      }
    }
    root.addEventListener('pointerdown', down)
    window.addEventListener('pointermove', move)
    window.addEventListener('pointerup', up)
    window.addEventListener('pointercancel', cancel)
    window.addEventListener('scroll', scrolled, { capture: true, passive: true })
    window.addEventListener('resize', scrolled)
    root.addEventListener('pointerover', over)
    root.addEventListener('touchmove', noScroll, { passive: false })
    root.addEventListener('contextmenu', noMenu)
    root.addEventListener('dragstart', noLink)
    root.addEventListener('click', click, true)
    root.addEventListener('keydown', keys)
    // For whoever waits until the board can be used, ms after its page was asked for: the benches and tests do.
    root.dataset.ready = performance.now().toFixed()
    return () => {
      clearTimeout(resting)
      cancelAnimationFrame(frame)
      root.removeEventListener('pointerdown', down)
      window.removeEventListener('pointermove', move)
      window.removeEventListener('pointerup', up)
      window.removeEventListener('pointercancel', cancel)
      window.removeEventListener('scroll', scrolled, { capture: true })
      window.removeEventListener('resize', scrolled)
      root.removeEventListener('pointerover', over)
      root.removeEventListener('touchmove', noScroll)
      root.removeEventListener('contextmenu', noMenu)
      root.removeEventListener('dragstart', noLink)
      root.removeEventListener('click', click, true)
      root.removeEventListener('keydown', keys)
    }
  }, [draw, drop, letGo, whereWords])

  const shown = factsOf(stations, open)
  return (
    <div ref={box} className={styles.movable} data-board>
      {children}
      <div ref={ghost} className={styles.ghost} aria-hidden="true" hidden>
        <b />
      </div>
      <div ref={shield} className={styles.shield} aria-hidden="true" hidden />
      <div role="status" aria-live="assertive" className="aloud">
        {said}
      </div>
      {plans && (
        <p className="aloud" id="board-keys">
          Space takes a run; arrow keys move it, with Shift by the hour; Enter shows what that would mean;
          Escape puts it back.
        </p>
      )}
      {open && shown && (
        <RunSheet
          key={open}
          run={shown.run}
          station={shown.station}
          zone={zone}
          plans={plans}
          lists={lists}
          onAsk={change => {
            setOpen(null)
            trial.ask(change)
          }}
          onClose={() => setOpen(null)}
        />
      )}
      <Consequences trial={trial} zone={zone} stations={stations} />
    </div>
  )
}

/** A run that is shown, with its station. */
function factsOf(
  stations: readonly ScreenStation[],
  id: string | null | undefined,
): { run: ScreenRun; station: ScreenStation } | undefined {
  if (!id) return undefined
  for (const station of stations) {
    const run = station.runs.find(r => r.id === id)
    if (run) return { run, station }
  }
  return undefined
}

const isScrolled = (root: HTMLElement): boolean => {
  const strip = root.querySelector('section')
  return strip !== null && strip.scrollWidth > strip.clientWidth
}

function groundOf(root: HTMLElement): Ground {
  const { left, top } = root.getBoundingClientRect()
  const lanes = [...root.querySelectorAll<HTMLElement>('[data-station]')].map(lane => {
    const box = lane.getBoundingClientRect()
    const track = lane.querySelector('[data-track]')?.getBoundingClientRect() ?? box
    return {
      top: box.top,
      bottom: box.bottom,
      trackLeft: track.left,
      trackTop: track.top,
      width: track.width,
      height: track.height,
    }
  })
  return { left, top, lanes }
}

/** Scrolls to where a run is held by keyboard: the strip in its own box, the page to its lane. */
function intoSight(root: HTMLElement, { at, ground, length }: Held, range: StripRange): void {
  const strip = root.querySelector('section')
  const on = ground.lanes[at.lane]
  const name = laneOf(root, at.lane)?.firstElementChild
  name?.scrollIntoView({ block: 'nearest', inline: 'nearest' })
  if (!strip || !on) return
  const place = stretchOf(at.start, at.start + length, range)
  const left = on.trackLeft + ((place?.left ?? 0) / 100) * on.width
  const right = left + ((place?.width ?? 0) / 100) * on.width
  const from = (name?.getBoundingClientRect().right ?? ground.left) + EDGE_PX
  const to = ground.left + strip.clientWidth - EDGE_PX
  if (left < from) strip.scrollLeft -= from - left
  else if (right > to) strip.scrollLeft += Math.min(right - to, left - from)
}

const runOf = (target: EventTarget | null): HTMLElement | null =>
  target instanceof Element ? target.closest<HTMLElement>('[data-run]') : null
const laneOf = (root: HTMLElement, lane: number): HTMLElement | undefined =>
  root.querySelectorAll<HTMLElement>('[data-station]')[lane]

/** Moved by some shown minutes: nights that the strip leaves out are jumped over. */
function shifted(start: number, minutes: number, range: StripRange): number {
  const raw = Math.round((start + minutes * 60_000) / (SNAP * 60_000)) * SNAP * 60_000
  const skip = range.skips?.find(s => raw >= s.from && raw < s.to)
  const at = skip ? (minutes > 0 ? skip.to : skip.from - SNAP * 60_000) : raw
  return Math.min(range.to - SNAP * 60_000, Math.max(range.from, at))
}

/** The run on the next station that has one, nearest in time. */
function neighbour(root: HTMLElement, from: HTMLElement, by: 1 | -1): HTMLElement | undefined {
  const lanes = [...root.querySelectorAll<HTMLElement>('[data-station]')]
  const start = Number(from.dataset.start)
  for (let i = lanes.findIndex(l => l.contains(from)) + by; i >= 0 && i < lanes.length; i += by) {
    const runs = [...(lanes[i]?.querySelectorAll<HTMLElement>('[data-run]') ?? [])]
    const away = (r: HTMLElement) => Math.abs(Number(r.dataset.start) - start)
    const near = runs.sort((a, b) => away(a) - away(b))[0]
    if (near) return near
  }
  return undefined
}
