import { readFileSync } from 'node:fs'
import { SMTPServer } from 'smtp-server'

/** The tests' own authority; the certificate it signed is for 127.0.0.1 and ends in a hundred years. */
export const AUTHORITY = 'tests/support/mail-certificate/authority.pem'
const signed = (file: string) => readFileSync(`tests/support/mail-certificate/${file}`)

/** A mail as it arrived, read back from its MIME parts. */
export type Arrived = {
  from: string
  to: string[]
  subject: string
  text: string
  attachment: Buffer | null
  raw: string
}

/** A real mail server on this machine, and what it got. */
export type Inbox = { port: number; mails: Arrived[]; signedIn: string[]; close: () => Promise<void> }

/** A header's text: folded lines joined, encoded words (RFC 2047) opened. */
function header(raw: string, name: string): string {
  const line = new RegExp(`^${name}: ((?:.*\\r\\n[ \\t])*.*)\\r\\n`, 'im').exec(raw)?.[1] ?? ''
  return line
    .replace(/\r\n[ \t]/g, ' ')
    .replace(/\?=\s+=\?/g, '?==?')
    .replace(/=\?utf-8\?([bq])\?(.*?)\?=/gi, (_, how: string, said: string) =>
      how.toLowerCase() === 'b'
        ? Buffer.from(said, 'base64').toString('utf8')
        : Buffer.from(
            said
              .replaceAll('_', ' ')
              .replace(/=([0-9A-F]{2})/g, (_, hex: string) => String.fromCharCode(Number.parseInt(hex, 16))),
            'latin1',
          ).toString('utf8'),
    )
}

/** A part's bytes, as its transfer encoding (RFC 2045) says. */
function opened(part: string): Buffer {
  const [head = '', ...rest] = part.split('\r\n\r\n')
  const body = rest.join('\r\n\r\n')
  const how = /content-transfer-encoding: (\S+)/i.exec(head)?.[1]?.toLowerCase()
  if (how === 'base64') return Buffer.from(body, 'base64')
  if (how === 'quoted-printable')
    return Buffer.from(
      body
        .replace(/=\r\n/g, '')
        .replace(/=([0-9A-F]{2})/g, (_, hex: string) => String.fromCharCode(Number.parseInt(hex, 16))),
      'latin1',
    )
  return Buffer.from(body, 'utf8')
}

function read(raw: string, from: string, to: string[]): Arrived {
  const boundary = /boundary="([^"]+)"/.exec(raw)?.[1]
  const parts = boundary ? raw.split(`--${boundary}`).slice(1, -1) : [raw]
  const attached = parts.find(p => /content-disposition: attachment/i.test(p))
  const text = parts.find(p => p !== attached)
  return {
    from,
    to,
    subject: header(raw, 'Subject'),
    text: text ? opened(text).toString('utf8') : '',
    attachment: attached ? opened(attached) : null,
    raw,
  }
}

/**
 * Opens a mail server.
 * @param secure TLS from the first word; STARTTLS is offered otherwise, both with a certificate that nobody trusts
 * @param trusted the certificate is one that the tests' own authority signed
 * @param user asks for this name and password
 * @param refuses an address it does not take; `full` takes the mail's words and then says no
 */
export async function openInbox({
  secure = false,
  trusted = false,
  user,
  password,
  refuses,
  full = false,
}: {
  secure?: boolean
  trusted?: boolean
  user?: string
  password?: string
  refuses?: string
  full?: boolean
}): Promise<Inbox> {
  const mails: Arrived[] = []
  const signedIn: string[] = []
  const server = new SMTPServer({
    secure,
    ...(trusted && { key: signed('server.key'), cert: signed('server.pem') }),
    authOptional: user === undefined,
    allowInsecureAuth: true,
    onAuth: (auth, _session, done) => {
      if (auth.username !== user || auth.password !== password) return done(new Error('Wrong password'))
      signedIn.push(auth.username ?? '')
      done(null, { user: auth.username ?? '' })
    },
    onRcptTo: (address, _session, done) =>
      done(
        address.address === refuses
          ? Object.assign(new Error('No such mailbox'), { responseCode: 550 })
          : null,
      ),
    onData: (stream, session, done) => {
      const chunks: Buffer[] = []
      stream.on('data', (c: Buffer) => chunks.push(c))
      stream.on('end', () => {
        if (full) return done(Object.assign(new Error('Mailbox is full'), { responseCode: 452 }))
        mails.push(
          read(
            Buffer.concat(chunks).toString('utf8'),
            session.envelope.mailFrom ? session.envelope.mailFrom.address : '',
            session.envelope.rcptTo.map(r => r.address),
          ),
        )
        done()
      })
    },
  })
  // A client that turns away from the certificate shows as an error of the line.
  server.on('error', () => {})
  await new Promise<void>(done => server.listen(0, '127.0.0.1', done))
  const { port } = server.server.address() as { port: number }
  return { port, mails, signedIn, close: () => new Promise<void>(done => server.close(() => done())) }
}
