import { readFileSync } from 'node:fs'
import { join } from 'node:path'

type Locked = {
  version: string
  license?: string
  dev?: boolean
  optional?: boolean
  os?: string[]
  cpu?: string[]
}

/** Every package that the running app has with it, by the lock file: the same on every machine, whichever of them it has installed. */
export function runtimePackages(): { name: string; version: string; licence: string; folder: string }[] {
  const { packages } = JSON.parse(readFileSync('package-lock.json', 'utf8')) as {
    packages: Record<string, Locked>
  }
  return Object.entries(packages)
    .filter(([folder, one]) => folder.includes('node_modules/') && !one.dev)
    .map(([folder, one]) => ({
      name: folder.slice(folder.lastIndexOf('node_modules/') + 'node_modules/'.length),
      version: one.version,
      licence: one.license ?? licenceIn(folder),
      folder,
    }))
    .sort((a, b) => a.name.localeCompare(b.name, 'en') || a.version.localeCompare(b.version, 'en'))
}

/** What a package that the lock file says nothing of says of itself: in its description, or in the head of its licence's text. */
function licenceIn(folder: string): string {
  try {
    const { license, licenses } = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'))
    const said = license?.type ?? license ?? licenses?.[0]?.type
    if (said) return String(said)
    return /^MIT License\s/.test(readFileSync(join(folder, 'LICENSE'), 'utf8')) ? 'MIT' : 'see its own files'
  } catch {
    return 'see its own files'
  }
}

/** The notice: packages by licence, then fonts, and where the texts lie. */
export function thirdParty(): string {
  const all = runtimePackages()
  const byLicence = new Map<string, string[]>()
  for (const { name, version, licence } of all)
    byLicence.set(licence, [...new Set([...(byLicence.get(licence) ?? []), `${name} ${version}`])])
  const groups = [...byLicence].sort((a, b) => b[1].length - a[1].length || a[0].localeCompare(b[0], 'en'))
  return `# Third-party notice

Shirtwright runs with the packages below, unchanged, as npm delivers them; the text of each licence lies in the package's own folder
under \`node_modules/\`. Written by \`npm run third-party\` from \`package-lock.json\`; a test holds it to that file.

Fonts: Archivo on screens (by the package @fontsource-variable/archivo), Roboto in PDFs (by the package pdfmake); both under the SIL
Open Font License 1.1.

Inside packages lie works of others, compiled: PDFium in @hyzyla/pdfium (BSD-3-Clause and Apache-2.0), SQLite in better-sqlite3
(public domain), PGlite, a PostgreSQL that Prisma's own tools bring along, in @electric-sql/pglite (Apache-2.0 and the PostgreSQL Licence).
libvips, which sharp loads as a library of its own that can be exchanged, is under LGPL-3.0-or-later.

\`lib/artwork/passes/made.ts\` is compiled by AssemblyScript, a tool of development, from the source beside it: no function of
AssemblyScript's own library is in it. What tests compare with (\`tests/vectors\`, \`tests/benchmarks\`) are figures from published sources,
named beside them; they do not run with the app.

${groups.map(([licence, names]) => `## ${licence}\n\n${names.join(', ')}\n`).join('\n')}`
}
