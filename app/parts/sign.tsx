/** What a sign can say. A sign never stands alone: a word is beside it. */
export type SignName =
  | 'enquiry'
  | 'offered'
  | 'agreed'
  | 'making'
  | 'ready'
  | 'handedOver'
  | 'declined'
  | 'withdrawn'
  | 'late'
  | 'risk'
  | 'done'
  | 'info'
  | 'caution'
  | 'stop'

const SHAPES: Record<SignName, React.ReactNode> = {
  // The circle of an order fills as the work goes on.
  enquiry: <circle cx="8" cy="8" r="5.5" strokeDasharray="2.6 2.2" />,
  offered: <circle cx="8" cy="8" r="5.5" />,
  agreed: (
    <>
      <circle cx="8" cy="8" r="5.5" />
      <circle cx="8" cy="8" r="2" fill="currentColor" stroke="none" />
    </>
  ),
  making: (
    <>
      <circle cx="8" cy="8" r="5.5" />
      <path d="M8 2.5a5.5 5.5 0 0 1 0 11z" fill="currentColor" stroke="none" />
    </>
  ),
  ready: <circle cx="8" cy="8" r="6.2" fill="currentColor" stroke="none" />,
  handedOver: <path d="m2.8 8.4 3.5 3.7 7-8.2" strokeWidth="2.4" />,
  done: <path d="m2.8 8.4 3.5 3.7 7-8.2" strokeWidth="2.4" />,
  declined: <path d="m3.5 3.5 9 9m0-9-9 9" strokeWidth="2.2" />,
  withdrawn: <path d="M2.5 8h11" strokeWidth="2.4" />,
  late: <path d="M8 1.8 15 14H1z" fill="currentColor" stroke="none" />,
  risk: (
    <>
      <circle cx="8" cy="8" r="5.8" />
      <path d="M8 8V2.2A5.8 5.8 0 0 1 13.8 8z" fill="currentColor" stroke="none" />
    </>
  ),
  info: (
    <>
      <circle cx="8" cy="8" r="6.2" />
      <path d="M8 7.2v4.4M8 4.2v1.7" strokeWidth="2" />
    </>
  ),
  caution: (
    <>
      <path d="M8 1.8 15 14H1z" strokeLinejoin="round" />
      <path d="M8 6.2v3.9M8 11.2v1.5" strokeWidth="1.8" />
    </>
  ),
  stop: (
    <>
      <path d="M5.3 1.5h5.4l3.8 3.8v5.4l-3.8 3.8H5.3l-3.8-3.8V5.3z" fill="currentColor" stroke="none" />
      <path d="M4.6 8h6.8" stroke="var(--sheet)" strokeWidth="2.2" />
    </>
  ),
}

/** A small drawn sign, as tall as the type around it. */
export function Sign({ name }: { name: SignName }) {
  return (
    <svg
      width="0.95em"
      height="0.95em"
      viewBox="0 0 16 16"
      aria-hidden="true"
      focusable="false"
      // Never shrunk by the line that it stands in.
      style={{ flex: 'none', maxWidth: 'none', verticalAlign: '-0.1em' }}
      fill="none"
      stroke="currentColor"
      strokeWidth="1.7"
    >
      {SHAPES[name]}
    </svg>
  )
}
