import { spawnSync } from 'node:child_process'
import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { runtimePackages, thirdParty } from '../../scripts/support/third-party'

const read = (file: string) => readFileSync(file, 'utf8')
const papers = [
  ...readdirSync('docs')
    .filter(name => name.endsWith('.md'))
    .map(name => join('docs', name)),
  'README.md',
  'DEVELOPERS.md',
  'CHANGELOG.md',
]
const { scripts, dependencies } = JSON.parse(read('package.json')) as Record<string, Record<string, string>>

describe.each(papers)('%s', file => {
  const text = read(file)

  test('links to pages and pictures that are there', () => {
    const links = [...text.matchAll(/\]\(([^)#\s]+)(?:#[^)]*)?\)/g)]
      .map(m => m[1] ?? '')
      .filter(to => !/^https?:/.test(to))
    for (const to of links) expect(existsSync(join(dirname(file), to)), to).toBe(true)
  })

  test('names commands that there are', () => {
    for (const [, name = ''] of text.matchAll(/npm run (?:-s )?([a-z][\w:-]*)/g))
      expect(scripts?.[name], name).toBeDefined()
  })

  test('names files of the project that are there', () => {
    const named = [
      ...text.matchAll(/`((?:app|lib|scripts|tests|e2e|prisma|docs|deploy)\/[\w./[\]-]+?)`/g),
    ].map(m => m[1] ?? '')
    // What a reader is to make, or what stands for many.
    for (const path of named.filter(p => !/[*…]/.test(p) && p !== 'tests/releases/VERSION'))
      expect(existsSync(path), path).toBe(true)
  })
})

describe('the third-party notice', () => {
  test('would name every package that runs with the app, each with a licence', () => {
    const notice = thirdParty()
    for (const name of Object.keys(dependencies ?? {}))
      expect(notice, name).toMatch(new RegExp(`[\\s]${name.replace(/[/.]/g, '\\$&')} \\d`))
    for (const { name, licence } of runtimePackages()) expect(licence, name).not.toMatch(/^\s*$|undefined/)
  })

  test('is the one that the lock file gives (npm run third-party writes it anew), beside the licence of the project itself', () => {
    expect(read('THIRD-PARTY.md')).toBe(thirdParty())
    expect(read('LICENSE')).toMatch(/MIT License/)
  })
})

describe('what a newcomer reads first', () => {
  test('the README begins with the job in one paragraph, and names beside every table of figures how to take them again', () => {
    const [title, job = '', next] = read('README.md').split(/\n\n/)
    expect(title).toBe('# Shirtwright')
    expect(job.split(/\s+/).length, 'words of the first paragraph').toBeGreaterThan(60)
    expect(next).toBe('## Two lines')
    for (const file of ['README.md', ...papers.filter(name => /\/(bench-\w+|long-runs)\.md$/.test(name))]) {
      const parts = read(file).split(/\n\n/)
      // Right above the table, or, on a page that is about one command, in its first lines.
      const once = file === 'README.md' ? [] : parts.slice(0, 4)
      for (const [at, part] of parts.entries())
        if (/^\|.*\| (measured|beside|when) \|/.test(part))
          expect([...once, ...parts.slice(at - 2, at)].join('\n'), `${file}: ${part.slice(0, 60)}`).toMatch(
            /npm run (bench|fuzz|crash)/,
          )
    }
  })

  test('the map of the house has every folder of the trade and of the app', () => {
    const map = read('docs/architecture.md')
    for (const floor of ['app', 'lib'])
      for (const { name } of readdirSync(floor, { withFileTypes: true }).filter(entry => entry.isDirectory()))
        expect(map, `${floor}/${name}`).toMatch(new RegExp(`\`${floor}/${name}[\`/]`))
    for (const name of readdirSync('lib'))
      expect(read('DEVELOPERS.md'), name).toMatch(new RegExp(`\\b${name}\\b`))
  })

  test('decisions are dated and stand in the order of their days', () => {
    const heads = read('docs/decisions.md').match(/^## .*$/gm) ?? []
    expect(heads.length).toBeGreaterThan(10)
    for (const head of heads) expect(head).toMatch(/^## 20\d\d-\d\d-\d\d · \S/)
    expect(heads.map(head => head.slice(3, 13))).toEqual(heads.map(head => head.slice(3, 13)).sort())
  })

  test('the guide names what stands on the screens', () => {
    // Numbered steps begin with words of the guide's own.
    const labels = [...read('docs/guide.md').matchAll(/\*\*([^*]+)\*\*/g)]
      .map(([, label = '']) => label)
      .filter(label => !/[.:]$/.test(label))
    expect(labels.length).toBeGreaterThan(80)
    const screens = ['app', 'lib']
      .flatMap(floor =>
        readdirSync(floor, { recursive: true, encoding: 'utf8' }).map(name => join(floor, name)),
      )
      .filter(name => /\.tsx?$/.test(name) && !/client|_show/.test(name))
      .map(name => read(name).replace(/\s+/g, ' '))
      .join('\n')
    // A text of its own: between tags or quotes, or with a figure or name behind it.
    const stands = (label: string) =>
      new RegExp(`[>'"\`}] ?${label.replace(/[.?()…]/g, '\\$&')} ?[<'"\`{$]`).test(screens)
    expect(labels.filter(label => !stands(label))).toEqual([])
  })

  test('the changelog has this version', () => {
    expect(read('CHANGELOG.md')).toContain(`\n## ${JSON.parse(read('package.json')).version}\n`)
  })
})

describe('the ways to run it as a service', () => {
  // A container engine is not at hand: what can be told from the text. Where systemd is, it reads the unit itself.
  test('name files that are there, run without rights, and stop gracefully', () => {
    const unit = read('deploy/shirtwright.service')
    expect(unit).toMatch(/^ExecStart=\S+ scripts\/start\.mjs$/m)
    expect(unit).toMatch(/^User=(?!root)\w+$/m)
    expect(Number(/^TimeoutStopSec=(\d+)/m.exec(unit)?.[1])).toBeGreaterThan(10)
    for (const line of unit.split('\n')) expect(line, line).toMatch(/^$|^#|^\[\w+\]$|^[A-Z]\w+=\S/)
    const verified = spawnSync('systemd-analyze', ['verify', '--man=no', 'deploy/shirtwright.service'], {
      encoding: 'utf8',
    })
    // It looks for programs and people of the machine it is read on, too: those are the operator's.
    if (!verified.error)
      expect(
        verified.stderr.split('\n').filter(l => l && !/not executable|Unknown user|Failed to/.test(l)),
      ).toEqual([])
    const image = read('deploy/Dockerfile')
    expect(image).toMatch(/^USER (?!root)\w+$/m)
    expect(image).toMatch(/^HEALTHCHECK .*\/api\/health/m)
    // What the shop writes lies on a volume, and belongs to the user without rights.
    expect(image).toMatch(/chown node:node \/shop \/backups$/m)
    expect(image).toMatch(/^ENV .*SHIRTWRIGHT_DATA=\/shop\b/m)
    expect(image).toMatch(/^VOLUME \/shop$/m)
    expect(image.trim().split('\n').at(-1)).toBe('CMD ["node", "scripts/start.mjs", "--as-built"]')
    const compose = read('deploy/compose.yaml')
    expect(compose).toContain('dockerfile: deploy/Dockerfile')
    expect(compose).not.toContain('\t')
    expect(compose).toMatch(/^ {6}- shop:\/shop$/m)
    expect(compose).toMatch(/^ {6}- backups:\/backups$/m)
    expect(compose).toMatch(/^volumes:\n {2}shop:\n {2}backups:$/m)
    const several = read('deploy/compose.postgres.yaml')
    expect(several).toContain('dockerfile: deploy/Dockerfile')
    expect(several).not.toContain('\t')
    // The servers wait for the database, reach it by the name that it has there, and share the data folder.
    expect(several).toMatch(/^ {2}database:\n {4}image: postgres:15/m)
    expect(several).toContain('condition: service_healthy')
    expect(several).toContain('pg_isready')
    expect(several).toMatch(/DATABASE_URL: postgresql:\/\/shop:\$\{POSTGRES_PASSWORD\}@database\/shop$/m)
    expect(several).toMatch(/^ {6}- shop:\/shop$/m)
    expect(several).toMatch(/^ {6}- database:\/var\/lib\/postgresql\/data$/m)
    expect(existsSync('scripts/start.mjs')).toBe(true)
  })
})
