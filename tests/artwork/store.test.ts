import { createHash } from 'node:crypto'
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  utimesSync,
  writeFileSync,
} from 'node:fs'
import { join } from 'node:path'
import { beforeEach, describe, expect, inject, it } from 'vitest'
import { pngOf } from '@/lib/artwork/encode'
import { inkColourAsked } from '@/lib/artwork/ink-shelf'
import { declaredPpi, pngChunks } from '@/lib/artwork/png'
import { DEFAULT_MEND, mendFor, type PrintToMake } from '@/lib/artwork/print-files'
import {
  addArtwork,
  findProduction,
  getArtworkWithUses,
  goodOf,
  inkColours,
  keepInkColour,
  keepOriginal,
  keepVersion,
  keptMeasurements,
  makeProduction,
  makeSheets,
  measuredFor,
  previewMend,
  productionFile,
  productionKey,
  retireInkColour,
  sameArt,
  shelfInks,
  tidyFiles,
} from '@/lib/artwork/store'
import { keptPath, receive } from '@/lib/server/files'
import { historyOf } from '@/lib/server/history'
import type { Result } from '@/lib/units/result'
import { freshDatabase } from '../support/database'
import { painted, pixel } from './pictures'

beforeEach(freshDatabase)
beforeEach(() => {
  process.env.SHIRTWRIGHT_DATA = mkdtempSync(join(inject('scratch'), 'files-'))
})

const by = { id: null, name: 'Ines Marl' }
const value = <T>(done: Result<T>): T => {
  if (!done.ok) throw new Error(done.message)
  return done.value
}
const sha = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex')

/** Half cloth-coloured, half red: 300 × 200 pixels, the left half #101010. */
async function halves() {
  const png = await pngOf(painted(300, 200, x => pixel(x < 150 ? '#101010' : '#d02020')))
  const received = value(await receive(new Blob([new Uint8Array(png)]).stream(), 1e6, null))
  return value(await addArtwork(received, 'halves.png', by)).artwork
}

const print: PrintToMake = {
  order: 1042,
  placement: 'full-front',
  widthMm: 60,
  heightMm: 40,
  method: 'transfer',
  cloth: '#101010',
  mend: null,
  inks: 2,
  shelf: [],
}
const PX = [Math.round((60 / 25.4) * 300), Math.round((40 / 25.4) * 300)]
/** Size and resolution that a PNG's own bytes say. */
function read(file: string) {
  const bytes = readFileSync(file)
  return {
    size: [bytes.readUInt32BE(16), bytes.readUInt32BE(20)],
    ppi: Math.round(declaredPpi(pngChunks(bytes).chunks) ?? 0),
  }
}
const fileOf = async (key: string, name: string): Promise<string> => {
  const file = await productionFile(key, name)
  if (!file) throw new Error(`${name} is not kept`)
  return file
}

describe('production files of a print', () => {
  it.each([
    ['transfer', '#101010', ['1042-full-front-60x40mm-film.png']],
    ['sublimation', '#ffffff', ['1042-full-front-60x40mm-mirrored.png']],
    ['dtg', '#101010', ['1042-full-front-60x40mm-colour.png', '1042-full-front-60x40mm-white-underbase.png']],
    ['dtg', '#ffffff', ['1042-full-front-60x40mm-colour.png']],
  ] as const)(
    '%s on %s: exact size at 300 ppi, named by order, print and size',
    async (method, cloth, names) => {
      const { sha256 } = await halves()
      const wanted = { ...print, method, cloth }
      const { files } = value(await makeProduction(sha256, wanted))
      expect(files.map(f => f.name)).toEqual(names)
      for (const { name } of files)
        expect(read(await fileOf(productionKey(sha256, wanted), name))).toEqual({ size: PX, ppi: 300 })
    },
  )

  it('screens: a film an ink, the white first on dark cloth, and one PDF', async () => {
    const { sha256 } = await halves()
    const wanted: PrintToMake = {
      ...print,
      method: 'screen',
      shelf: [{ name: 'Signal red', rgb: [208, 32, 32] }],
    }
    const { files, films } = value(await makeProduction(sha256, wanted))
    expect(films.map(f => f.ink)).toEqual(['White underbase', 'Signal red'])
    expect(files.map(f => f.name)).toEqual([
      '1042-full-front-60x40mm-01-white-underbase.png',
      '1042-full-front-60x40mm-02-signal-red.png',
      '1042-full-front-60x40mm-films.pdf',
    ])
    const pdf = readFileSync(await fileOf(productionKey(sha256, wanted), files[2]?.name ?? ''))
    expect(pdf.subarray(0, 5).toString('latin1')).toBe('%PDF-')
  })

  it('are kept by the content of the art and the settings: made once, and anew for any other', async () => {
    const { sha256 } = await halves()
    const key = productionKey(sha256, print)
    expect(await findProduction(key)).toBeNull()
    const made = value(await makeProduction(sha256, print))
    expect(await findProduction(key)).toEqual(made)
    expect(value(await makeProduction(sha256, print))).toEqual(made)
    for (const other of [
      { ...print, widthMm: 61 },
      { ...print, mend: DEFAULT_MEND },
      { ...print, order: 1043 },
    ])
      expect(productionKey(sha256, other)).not.toBe(key)
  })

  it('that are refused leave nothing behind', async () => {
    const { sha256 } = await halves()
    const huge = { ...print, widthMm: 4000, heightMm: 4000 }
    const refused = await makeProduction(sha256, huge)
    expect(refused).toMatchObject({ ok: false, code: 'too-large' })
    expect(await findProduction(productionKey(sha256, huge))).toBeNull()
    const folder = join(process.env.SHIRTWRIGHT_DATA ?? '', 'files')
    expect(readdirSync(join(folder, 'making'))).toEqual([])
  })

  it('are found by their own key and name alone', async () => {
    const { sha256 } = await halves()
    await makeProduction(sha256, print)
    const key = productionKey(sha256, print)
    for (const name of ['files.json', '../files.json', '..', '', '1042-full-front-60x40mm-film.PNG'])
      expect(await productionFile(key, name)).toBeNull()
    expect(await productionFile('../production', key)).toBeNull()
  })
})

describe('sheets of many orders', () => {
  it('lay every print once for each piece, in one PDF, kept by what lies on them', async () => {
    const { sha256 } = await halves()
    const pieces = [
      { id: '1 full-front', sha256, print, count: 3 },
      { id: '2 full-front', sha256, print: { ...print, order: 1043, widthMm: 90 }, count: 1 },
    ]
    const sheet = { width: 200, height: 100, gap: 5, margin: 5 }
    const key = value(await makeSheets(pieces, sheet, true))
    const made = await findProduction(key)
    expect(made?.nesting?.placed.map(p => p.order).sort()).toEqual(['1042', '1042', '1042', '1043'])
    expect(made?.files.map(f => f.name)).toEqual(['sheets-1042-1043.pdf'])
    const pdf = readFileSync(await fileOf(key, 'sheets-1042-1043.pdf'))
    expect(pdf.subarray(0, 5).toString('latin1')).toBe('%PDF-')
    expect(value(await makeSheets(pieces, sheet, true))).toBe(key)
    expect(value(await makeSheets(pieces, { ...sheet, gap: 6 }, true))).not.toBe(key)
  })

  it('refuse a print that is wider than the sheet', async () => {
    const { sha256 } = await halves()
    const sheet = { width: 50, height: 35, gap: 5, margin: 5 }
    expect(await makeSheets([{ id: '1', sha256, print, count: 1 }], sheet, true)).toMatchObject({ ok: false })
  })
})

describe('letting the cloth through', () => {
  const wanted = { cloth: '#101010', widthMm: 60, heightMm: 40, mend: DEFAULT_MEND }

  it('shows what it changes at the printed size: half of 24 cm² is cloth', async () => {
    const { id } = await halves()
    const { figures, png } = value(await previewMend(id, wanted))
    expect(figures.areaBeforeCm2).toBeCloseTo(24, 6)
    expect(figures.areaAfterCm2).toBeCloseTo(12, 0)
    expect(figures.largestSolidAfterCm2).toBeLessThan(figures.largestSolidBeforeCm2)
    expect(png.readUInt32BE(16)).toBe(720)
  })

  it('keeps a version with what made it, and never touches the original', async () => {
    const { id, sha256 } = await halves()
    const original = readFileSync(keptPath(sha256))
    value(await keepVersion(id, wanted, by))
    const [version] = (await getArtworkWithUses(id))?.versions ?? []
    expect(version).toMatchObject({ cloth: '#101010', mend: DEFAULT_MEND, byName: 'Ines Marl' })
    expect(version?.sha256).not.toBe(sha256)
    const kept = keptPath(version?.sha256 ?? '')
    expect(existsSync(kept)).toBe(true)
    expect(sha(readFileSync(kept))).toBe(version?.sha256)
    expect(read(kept)).toEqual({ size: PX, ppi: 300 })
    expect(readFileSync(keptPath(sha256)).equals(original)).toBe(true)
    expect((await historyOf('artwork', id))[0]?.what).toBe('kept a version that lets #101010 through')
  })

  it('the newest version of a cloth counts, and the original can be gone back to', async () => {
    const { id } = await halves()
    const chosen = async (method: 'transfer' | 'dtg', cloth: string) =>
      mendFor(method, cloth, (await getArtworkWithUses(id))?.versions ?? [])
    expect(await chosen('dtg', '#101010')).toBeNull()
    expect(await chosen('transfer', '#101010')).toEqual(DEFAULT_MEND)
    const mend = { ...DEFAULT_MEND, tolerance: 20 }
    value(await keepVersion(id, { ...wanted, mend }, by, new Date(1000)))
    expect(await chosen('dtg', '#101010')).toEqual(mend)
    expect(await chosen('dtg', '#ffffff')).toBeNull()
    value(await keepOriginal(id, '#101010', by, new Date(2000)))
    expect(await chosen('transfer', '#101010')).toBeNull()
  })
})

it('measurements that are kept are found again without measuring', async () => {
  const { id } = await halves()
  const measure = { widthMm: 60, heightMm: 40, garmentHex: '#101010', method: 'transfer' } as const
  expect(await keptMeasurements([{ artworkId: id, measure }])).toEqual([null])
  const measured = value(await measuredFor(id, measure))
  const [kept, other] = await keptMeasurements([
    { artworkId: id, measure },
    { artworkId: id, measure: { ...measure, widthMm: 61 } },
  ])
  expect(kept?.print).toEqual(measured.print)
  expect(other).toBeNull()
})

describe('the same art coming back', () => {
  it('is known by its bytes, and by its looks in another size and format', async () => {
    const first = await halves()
    const again = await halves()
    expect(again.id).toBe(first.id)
    const png = await pngOf(painted(600, 400, x => pixel(x < 300 ? '#101010' : '#d02020')))
    const received = value(await receive(new Blob([new Uint8Array(png)]).stream(), 1e6, null))
    const larger = value(await addArtwork(received, 'halves, larger.png', by)).artwork
    expect(larger.id).not.toBe(first.id)
    expect((await sameArt(larger)).others).toEqual([{ id: first.id, name: 'halves.png' }])
    const other = await pngOf(
      painted(300, 200, (x, y) => pixel((x >> 5) % 2 === (y >> 5) % 2 ? '#101010' : '#d02020')),
    )
    const stranger = value(
      await addArtwork(
        value(await receive(new Blob([new Uint8Array(other)]).stream(), 1e6, null)),
        'x.png',
        by,
      ),
    ).artwork
    expect((await sameArt(stranger)).others).toEqual([])
  })
})

describe('how a print turned out', () => {
  const step = (job: string, good: number, widthMm: number) => ({ job, good, recipe: { print: { widthMm } } })
  it('counts what the last step of each chain gave, and each size of the print by itself', () => {
    expect(goodOf([step('batch-1', 24, 280), step('batch-1', 23, 280)])).toBe(23)
    expect(goodOf([step('batch-1', 23, 280), step('remake-1', 1, 280)])).toBe(24)
    const bySize = [step('batch-1', 12, 140), step('batch-1', 11, 140), step('batch-1', 12, 280)]
    expect(goodOf(bySize)).toBe(23)
    expect(goodOf([{ job: 'batch-1', good: 5, recipe: null }])).toBe(5)
    expect(goodOf([])).toBe(0)
  })
})

describe('the shop’s inks', () => {
  it('name the film of a colour that is near enough, and no other', async () => {
    const artwork = await halves()
    await keepInkColour({ name: 'Post red', hex: '#d42424' }, by)
    await keepInkColour({ name: 'Grass', hex: '#2a7f3f' }, by)
    const made = value(
      await makeProduction(artwork.sha256, { ...print, method: 'screen', inks: 1, shelf: await shelfInks() }),
    )
    expect(made.films.map(f => f.ink)).toEqual(['White underbase', 'Post red'])
    expect(made.files.map(f => f.name)).toContain('1042-full-front-60x40mm-02-post-red.png')
  })
  it('get another colour under the same name, go off the list and come back', async () => {
    await keepInkColour({ name: 'Coral', hex: '#ff0000' }, by)
    await keepInkColour({ name: 'Coral', hex: '#ee6c4d' }, by)
    const [coral] = await inkColours()
    expect(coral).toMatchObject({ name: 'Coral', hex: '#ee6c4d', byName: 'Ines Marl' })
    expect(await retireInkColour(coral!.id, by)).toEqual({ ok: true, value: 'Coral' })
    expect(await retireInkColour(coral!.id, by)).toMatchObject({ ok: false, code: 'unknown' })
    expect(await shelfInks()).toEqual([])
    await keepInkColour({ name: 'Coral', hex: '#ee6c4d' }, by)
    expect(await inkColours()).toHaveLength(1)
    expect((await historyOf('ink', coral!.id)).map(h => h.what)).toEqual(
      expect.arrayContaining([
        'gave the ink “Coral” the colour #ee6c4d',
        'took the ink “Coral” off the list',
      ]),
    )
  })
  it.each([
    [
      { name: '  Post \n red ', hex: 'D02020' },
      { name: 'Post red', hex: '#d02020' },
    ],
    [
      { name: 'Coral', hex: ' #F64 ' },
      { name: 'Coral', hex: '#ff6644' },
    ],
  ])('as typed: %o', (typed, read) => expect(inkColourAsked.parse(typed)).toEqual(read))
  it.each([
    [{ name: ' ', hex: '#d02020' }, /no name/],
    [{ name: 'x'.repeat(41), hex: '#d02020' }, /longer than 40/],
    [{ name: 'Coral', hex: 'coral' }, /typed like #1a2b3c/],
    [{ name: 'Coral', hex: '#12345' }, /typed like #1a2b3c/],
  ])('refused: %o', (typed, why) =>
    expect(inkColourAsked.safeParse(typed).error?.issues[0]?.message).toMatch(why),
  )
})

describe('a cancelled upload', () => {
  it.each(['before', 'during'])('%s the check leaves no file and no row', async when => {
    const png = await pngOf(painted(900, 900, (x, y) => pixel(x * y > 90_000 ? '#101010' : '#d02020')))
    const received = value(await receive(new Blob([new Uint8Array(png)]).stream(), 1e7, null))
    const stop = new AbortController()
    if (when === 'before') stop.abort()
    const taken = await addArtwork(received, 'gone.png', by, new Date(), stop.signal, {
      onProgress: at => at !== 'waiting' && stop.abort(),
    })
    expect(taken).toMatchObject({ ok: false, code: 'cancelled' })
    expect(existsSync(received.path)).toBe(false)
    expect(existsSync(keptPath(received.sha256))).toBe(false)
  })
})

describe('tidying up', () => {
  const days = (n: number) => new Date(Date.now() + n * 86_400_000)
  it('takes what nobody needs any more, and leaves artworks and versions', async () => {
    const artwork = await halves()
    value(await makeProduction(artwork.sha256, print))
    value(
      await keepVersion(artwork.id, { cloth: '#101010', widthMm: 30, heightMm: 20, mend: DEFAULT_MEND }, by),
    )
    const key = productionKey(artwork.sha256, print)
    const root = process.env.SHIRTWRIGHT_DATA ?? ''
    const files = readdirSync(root).find(f => f.endsWith('files')) ?? ''
    const half = join(root, files, 'incoming', 'half')
    mkdirSync(join(root, files, 'incoming'), { recursive: true })
    writeFileSync(half, 'half an upload')
    const orphan = keptPath('f'.repeat(64))
    mkdirSync(join(orphan, '..'), { recursive: true })
    writeFileSync(orphan, 'of no artwork')

    // Right away everything is still somebody's work.
    expect(await tidyFiles()).toEqual({ production: 0, scratch: 0, orphans: 0 })
    // Order 1042 is in no books, so its files are an ended order's.
    expect(await tidyFiles(days(2))).toEqual({ production: 1, scratch: 1, orphans: 1 })
    expect(await findProduction(key)).toBeNull()
    expect(existsSync(half)).toBe(false)
    expect(existsSync(orphan)).toBe(false)
    const [version] = (await getArtworkWithUses(artwork.id))?.versions ?? []
    expect(existsSync(keptPath(artwork.sha256))).toBe(true)
    expect(existsSync(keptPath(version?.sha256 ?? ''))).toBe(true)
    // They are made again from the art and its settings.
    expect((await makeProduction(artwork.sha256, print)).ok).toBe(true)
  })

  it('files that were asked for lately stay', async () => {
    const artwork = await halves()
    const { files } = value(await makeProduction(artwork.sha256, print))
    const key = productionKey(artwork.sha256, print)
    const plan = (await fileOf(key, files[0]?.name ?? '')).replace(/[^/]+$/, 'files.json')
    utimesSync(plan, days(-3), days(-3))
    await fileOf(key, files[0]?.name ?? '')
    expect((await tidyFiles()).production).toBe(0)
    utimesSync(plan, days(-3), days(-3))
    expect((await tidyFiles()).production).toBe(1)
  })
})
