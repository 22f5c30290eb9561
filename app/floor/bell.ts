/** Two short tones, s after the first and Hz. */
const TONES = [
  [0, 880],
  [0.28, 1175],
] as const
const TONE_S = 0.24
/** A bell that is set this near to where it should ring stays as it is, s. */
const NEAR_S = 0.25

let audio: AudioContext | null = null

/**
 * Opens the page's sound. Browsers let a page sound only after somebody has touched it or pressed a key, so this is called then.
 * @returns whether there is a sound
 */
export function openSound(): boolean {
  audio ??= typeof AudioContext === 'undefined' ? null : new AudioContext()
  if (audio && audio.state !== 'running') void audio.resume().catch(() => {})
  return audio !== null
}

/** Plays the tones from a moment of the sound's own clock on. @returns what stops them */
function play(sound: AudioContext, from: number): () => void {
  const tones = TONES.map(([after, pitch]) => {
    const tone = sound.createOscillator()
    const loud = sound.createGain()
    const start = from + after
    tone.frequency.value = pitch
    loud.gain.setValueAtTime(0.35, start)
    loud.gain.exponentialRampToValueAtTime(0.001, start + TONE_S)
    tone.connect(loud).connect(sound.destination)
    tone.start(start)
    tone.stop(start + TONE_S + 0.01)
    return tone
  })
  return () => {
    for (const tone of tones) tone.stop()
  }
}

/**
 * A bell that is set ahead of its time. The tones are handed to the sound's own clock, which goes on in a tab that nobody sees, where
 * a page's timers come as rarely as once a minute.
 */
class Bell {
  #set: { at: number; stop: () => void } | null = null

  /** Sets the bell to ring in so many ms, or moves it there; null takes one off that has not begun to ring. */
  aim(inMs: number | null) {
    if (audio?.state !== 'running') return
    const set = this.#set
    const ahead = set !== null && set.at > audio.currentTime + 0.02
    if (inMs === null) {
      if (ahead) this.#off()
      return
    }
    const at = audio.currentTime + inMs / 1000
    if (ahead && Math.abs(set.at - at) < NEAR_S) return
    if (ahead) this.#off()
    this.#set = { at, stop: play(audio, at) }
  }

  /** The time has come: shakes, and sounds unless the bell that was set has just done so. Devices without one or the other stay silent or still. */
  ring() {
    navigator.vibrate?.([300, 120, 300])
    if (audio?.state !== 'running') return
    const since = this.#set ? audio.currentTime - this.#set.at : Number.POSITIVE_INFINITY
    // Rang a moment ago, or rings in the next.
    if (since > -NEAR_S && since < 5) return
    if (since < 0) this.#off()
    this.#set = { at: audio.currentTime, stop: play(audio, audio.currentTime) }
  }

  #off() {
    this.#set?.stop()
    this.#set = null
  }
}

const bells = new Map<string, Bell>()
/** The bell of this name: one that was set rings even if the page that set it was left for another one of the shop. */
export function bellOf(name: string): Bell {
  const bell = bells.get(name) ?? new Bell()
  bells.set(name, bell)
  return bell
}
