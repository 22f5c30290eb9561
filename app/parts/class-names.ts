/** Joins class names, leaving out what is not set. */
export const classNames = (...names: (string | false | null | undefined)[]): string =>
  names.filter(Boolean).join(' ')
