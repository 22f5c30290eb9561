import type { Code } from './code'

/** A code as it is printed; its size is that of the box `className` gives it. */
export function CodePicture({ code, className }: { code: Code; className?: string }) {
  return (
    <div
      className={className}
      role="img"
      aria-label={`Code that opens ${code.address}`}
      // biome-ignore lint/security/noDangerouslySetInnerHtml: drawn here by the code library from our own address
      dangerouslySetInnerHTML={{ __html: code.svg }}
    />
  )
}
