/** How long somebody waits, rounded up: "40 seconds", "5 minutes". @param ms more than 0 */
export function waitWords(ms: number): string {
  const seconds = Math.max(1, Math.ceil(ms / 1000))
  if (seconds < 90) return seconds === 1 ? '1 second' : `${seconds} seconds`
  return `${Math.ceil(seconds / 60)} minutes`
}
