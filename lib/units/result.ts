/** An expected refusal: a code for the program, one clear sentence for the person, and the field it is about. */
export type Refusal = { ok: false; code: string; message: string; field?: string }
/** What a decision gives: a value, or a refusal with its reason. */
export type Result<T> = { ok: true; value: T } | Refusal

/** What was decided. */
export const ok = <T>(value: T): Result<T> => ({ ok: true, value })
/** Why not. @param code short and lasting, for programs and tests @param message one sentence: what, where, what next @param field the field of the form that it is about */
export const refuse = (code: string, message: string, field?: string): Refusal => ({
  ok: false,
  code,
  message,
  ...(field === undefined ? {} : { field }),
})
