/** The registration mark: the sign of the shop, and of "now" on the plan. Drawn in the colour of the type around it. */
export function RegistrationMark({ size = 28 }: { size?: number }) {
  return (
    <svg width={size} height={size} viewBox="0 0 28 28" aria-hidden="true" focusable="false">
      <g fill="none" stroke="currentColor" strokeWidth="1.8">
        <circle cx="14" cy="14" r="7.5" />
        <path d="M14 1v26M1 14h26" />
      </g>
      <circle cx="14" cy="14" r="3.2" fill="currentColor" />
    </svg>
  )
}
