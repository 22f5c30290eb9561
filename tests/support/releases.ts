import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { brotliDecompressSync } from 'node:zlib'
import { inject } from 'vitest'
import type { Manifest } from '@/lib/server/backup-folder'

const folder = join('tests', 'releases')

/** Every version of which a backup is kept (see scripts/keep-release.ts), the oldest first. */
export const releases: string[] = readdirSync(folder).sort((a, b) =>
  a.localeCompare(b, 'en', { numeric: true }),
)

/** Lays the backup of a released version out as it was made. @returns its folder and its manifest */
export function releasedBackup(version: string): { backup: string; manifest: Manifest } {
  const from = join(folder, version)
  const all = mkdtempSync(join(inject('scratch'), 'released-'))
  const manifest = JSON.parse(readFileSync(join(from, 'manifest.json'), 'utf8')) as Manifest
  const backup = join(all, manifest.made.replace(/[:.]/g, '-'))
  mkdirSync(backup)
  cpSync(join(from, 'manifest.json'), join(backup, 'manifest.json'))
  cpSync(join(from, 'files'), join(all, 'files'), { recursive: true })
  writeFileSync(join(backup, 'shop.db'), brotliDecompressSync(readFileSync(join(from, 'shop.db.br'))))
  return { backup, manifest }
}
