import 'server-only'
import { createTransport } from 'nodemailer'
import { ok, type Result, refuse } from '@/lib/units/result'
import { db, transaction } from './database'
import { type Actor, record } from './history'
import { seal, unseal } from './sealed'

/** How the way to the mail server is closed: from the first byte (RFC 8314, usually port 465), after greeting it (RFC 3207, usually 587), or not. */
export const SECURITIES = ['tls', 'starttls', 'none'] as const
export type Security = (typeof SECURITIES)[number]

/** The shop's own mail server, as its mail provider gives it. */
export type MailServer = {
  host: string
  port: number
  security: Security
  /** Empty where the server asks for no name. */
  user: string
  /** Null where it was sealed by another server's secret, so that it must be typed again. */
  password: string | null
  /** Address that mails come from. */
  from: string
  version: number
}

/** The mail server that is set, or null. */
export async function mailServer(): Promise<MailServer | null> {
  const row = await db().mailServer.findUnique({ where: { id: 1 } })
  if (!row) return null
  const { id: _, password, security, ...rest } = row
  return {
    ...rest,
    security: SECURITIES.find(s => s === security) ?? 'starttls',
    password: unseal(password),
  }
}

/** Sets the mail server, unless somebody saved before. @param password null keeps the one that is set */
export function saveMailServer(
  typed: Omit<MailServer, 'password' | 'version'> & { password: string | null; version: number },
  by: Actor,
  now: Date,
): Promise<Result<{ version: number }>> {
  return transaction(async tx => {
    const saved = await tx.mailServer.findUnique({ where: { id: 1 } })
    if ((saved?.version ?? 0) !== typed.version)
      return refuse(
        'conflict',
        'The mail server was changed by somebody else while you had this open: load the page again, then change it.',
      )
    const { password, version, ...fields } = typed
    const data = {
      ...fields,
      version: version + 1,
      password: password === null ? (saved?.password ?? '') : seal(password),
    }
    await tx.mailServer.upsert({ where: { id: 1 }, create: { id: 1, ...data }, update: data })
    await record({
      by,
      what: 'set the mail server',
      entity: 'shop',
      ref: 'mail',
      ...(saved ? { before: openly(saved) } : {}),
      after: fields,
      at: now,
    })
    return ok({ version: version + 1 })
  })
}

/** What of a mail server may stand in the history: not its password. */
const openly = ({ host, port, user, from }: { host: string; port: number; user: string; from: string }) => ({
  host,
  port,
  user,
  from,
})

/** Takes the mail server away: mails are then ready to copy. */
export function dropMailServer(by: Actor, now: Date): Promise<void> {
  return transaction(async tx => {
    const saved = await tx.mailServer.findUnique({ where: { id: 1 } })
    if (!saved) return
    await tx.mailServer.delete({ where: { id: 1 } })
    await record({
      by,
      what: 'took the mail server away',
      entity: 'shop',
      ref: 'mail',
      before: openly(saved),
      after: {},
      at: now,
    })
  })
}

/** A mail as it is handed to the server. */
export type Mail = {
  /** Name that stands before the address it comes from. */
  fromName: string
  to: string
  subject: string
  text: string
  attachments?: { filename: string; content: Uint8Array; contentType: string }[]
}

/** How long the server may be silent before it counts as away. */
const PATIENCE_MS = 15_000

/**
 * Hands a mail to the shop's mail server. Certificates are checked; a password never goes over an open line unless the shop chose that.
 * @returns what the server said when it took the mail, or one sentence on what went wrong and what to do
 */
export async function sendMail(server: MailServer, mail: Mail): Promise<Result<string>> {
  const { host, port, security, user, password, from } = server
  if (password === null)
    return refuse(
      'mail-password',
      'The password of the mail server cannot be read here any more: type it again under Shop.',
    )
  const transport = createTransport({
    host,
    port,
    secure: security === 'tls',
    requireTLS: security === 'starttls',
    ignoreTLS: security === 'none',
    ...(user ? { auth: { user, pass: password } } : {}),
    dnsTimeout: PATIENCE_MS,
    connectionTimeout: PATIENCE_MS,
    greetingTimeout: PATIENCE_MS,
    socketTimeout: PATIENCE_MS,
    // What people typed names no file and no address that the server would open.
    disableFileAccess: true,
    disableUrlAccess: true,
  })
  try {
    const sent = await transport.sendMail({
      from: { name: mail.fromName, address: from },
      to: mail.to,
      subject: mail.subject,
      text: mail.text,
      attachments: (mail.attachments ?? []).map(a => ({ ...a, content: Buffer.from(a.content) })),
    })
    return ok(sent.response)
  } catch (error) {
    return refuse('mail', whyNot(server, mail, error as MailFault))
  } finally {
    transport.close()
  }
}

type MailFault = { code?: string; response?: string; responseCode?: number; message?: string }

/** What the server said, short enough to stand in a sentence. */
const said = ({ response }: MailFault) =>
  response ? ` It said: “${response.replace(/\s+/g, ' ').trim().slice(0, 160)}”.` : ''

function whyNot({ host, port, user }: MailServer, mail: Mail, fault: MailFault): string {
  const at = `${host}, port ${port},`
  switch (fault.code) {
    case 'EAUTH':
    case 'ENOAUTH':
      return `The mail server ${at} did not take the user name and password${user ? ` of ${user}` : ''}: check them under Shop.${said(fault)}`
    case 'EENVELOPE':
      return `The mail server does not take a mail from here to ${mail.to}: check the address.${said(fault)}`
    case 'EMESSAGE':
      return `The mail server did not take the mail.${said(fault)} Try again later, or send the address yourself.`
    case 'ETLS':
      return `The line to the mail server ${at} could not be secured: check the port and how the line is secured, under Shop.`
    case 'ESOCKET':
    case 'EDNS':
    case 'ECONNECTION':
    case 'ETIMEDOUT':
      return /certificate|self.signed|altname|wrong version number|SSL/i.test(fault.message ?? '')
        ? `The mail server ${at} does not show a certificate that can be trusted: check its name, the port and how the line is secured, under Shop.`
        : `The mail server ${at} cannot be reached now: try again in a few minutes, or copy the text and send it yourself.`
    default:
      return `The mail was not sent: the mail server ${at} broke off.${said(fault)} Try again, or copy the text and send it yourself.`
  }
}
