import { z } from 'zod'
import { line, needed, versionFrom } from '@/lib/units/form-fields'
import { PAPERS } from './paper'

/** An address of this server as people outside reach it: scheme and host alone, without a path. @returns the address, or one sentence */
export function readPublicAddress(typed: string): { address: string } | { no: string } {
  const text = typed.trim().replace(/\/+$/, '')
  if (text === '') return { address: '' }
  const url = URL.parse(/^[a-z]+:\/\//i.test(text) ? text : `https://${text}`)
  if (!url || !['http:', 'https:'].includes(url.protocol) || !url.hostname)
    return { no: 'This is not an address: type it like https://print.example.com.' }
  if (url.pathname !== '/' || url.search || url.hash || url.username || url.password)
    return { no: 'Type the address without anything after its name: https://print.example.com.' }
  return { address: url.origin }
}

/** What the shop is called, how measures are shown, and what offers are laid out for. */
export const shopInput = z.object({
  name: needed('The name', 'type what the shop is called', 80),
  measures: z.enum(['metric', 'imperial'], { error: 'Choose how measures are shown.' }),
  paper: z.enum(PAPERS, { error: 'Choose the paper that offers are printed on.' }),
  publicAddress: line('The address', 200).transform((text, issue) => {
    const read = readPublicAddress(text)
    if ('address' in read) return read.address
    issue.addIssue({ code: 'custom', message: read.no })
    return z.NEVER
  }),
  version: versionFrom(0),
})
export type ShopInput = z.output<typeof shopInput>

/** The shop's mail server as typed. An empty password keeps the one that is set. @param securities how the line may be closed */
export const mailServerInput = <S extends string>(securities: readonly [S, ...S[]]) =>
  z.object({
    host: line('The mail server', 200).pipe(
      z
        .string()
        .min(1, 'The mail server is empty: type its name, like smtp.example.com.')
        .regex(/^[A-Za-z0-9.:_-]+$/, 'This is not the name of a server: type it like smtp.example.com.'),
    ),
    port: z
      .string({ error: 'The port is missing.' })
      .refine(
        text => /^\d{1,5}$/.test(text.trim()) && Number(text) >= 1 && Number(text) <= 65_535,
        'A port is a whole number from 1 to 65535: usually 465 or 587.',
      )
      .transform(Number),
    security: z.enum(securities, { error: 'Choose how the line is secured.' }),
    user: line('The user name', 200).default(''),
    password: z
      .string()
      .max(500, 'The password is longer than 500 characters: check it.')
      .default('')
      .transform(text => text || null),
    from: line('The address', 200).refine(
      text => z.email().safeParse(text).success,
      'This is not an e-mail address: type it like shop@example.com.',
    ),
    version: versionFrom(0),
  })
