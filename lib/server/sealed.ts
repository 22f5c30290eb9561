import 'server-only'
import { createCipheriv, createDecipheriv, hkdfSync, randomBytes } from 'node:crypto'
import { secretKey } from './data-folder'

// AES-256-GCM (NIST SP 800-38D) with a key of its own, drawn from the server's secret by HKDF (RFC 5869): a copy of the
// database alone opens nothing.
const key = () => Buffer.from(hkdfSync('sha256', secretKey(), '', 'shirtwright sealed settings', 32))

/** Closes a short secret so that it can lie in the database. The empty text stays empty. */
export function seal(text: string): string {
  if (text === '') return ''
  const nonce = randomBytes(12)
  const cipher = createCipheriv('aes-256-gcm', key(), nonce)
  const closed = Buffer.concat([cipher.update(text, 'utf8'), cipher.final()])
  return Buffer.concat([nonce, cipher.getAuthTag(), closed]).toString('base64url')
}

/** Opens what `seal` closed; null where it was closed with another server's secret, or was changed. */
export function unseal(sealed: string): string | null {
  if (sealed === '') return ''
  const bytes = Buffer.from(sealed, 'base64url')
  if (bytes.length < 29) return null
  try {
    const decipher = createDecipheriv('aes-256-gcm', key(), bytes.subarray(0, 12))
    decipher.setAuthTag(bytes.subarray(12, 28))
    return Buffer.concat([decipher.update(bytes.subarray(28)), decipher.final()]).toString('utf8')
  } catch {
    return null
  }
}
