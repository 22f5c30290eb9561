import { readFileSync } from 'node:fs'
import { PNG } from 'pngjs'
import { describe, expect, it } from 'vitest'
import { pngOf } from '@/lib/artwork/encode'
import {
  crc32,
  declaredPpi,
  physChunk,
  pixelsPerMetre,
  pngChunk,
  pngChunks,
  withPhys,
} from '@/lib/artwork/png'
import { painted, pixel, table } from './pictures'

const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString('hex')

describe('pHYs', () => {
  // PNG specification, third edition, 11.3.4.3: pixels per unit, unit 1 is the metre; an inch is 0.0254 m.
  it.each(table(readFileSync(new URL('../vectors/png-phys.csv', import.meta.url), 'utf8')))(
    '$dpi ppi is $pHYs_pixels_per_metre pixels per metre',
    row => {
      expect(pixelsPerMetre(Number(row.dpi))).toBe(Number(row.pHYs_pixels_per_metre))
      const back = declaredPpi([
        { offset: 0, type: 'pHYs', data: physChunk(Number(row.dpi)).subarray(8, 17) },
      ])
      expect(back!.toFixed(4)).toBe(row.recovered_dpi)
    },
  )
  it('at 300 ppi is, byte for byte, the chunk that another library writes (Pillow 12.3)', () => {
    expect(hex(physChunk(300))).toBe('0000000970485973' + '00002e23' + '00002e23' + '01' + '78a53f76')
  })
  it('with unit 0 is a ratio only and claims no resolution', () => {
    const data = physChunk(300).slice(8, 17)
    data[8] = 0
    expect(declaredPpi([{ offset: 0, type: 'pHYs', data }])).toBeNull()
  })
})

describe('a written PNG', () => {
  const art = painted(7, 5, (x, y) => (x === y ? null : pixel('#e4572e', 40 * x + 5)))
  it('holds one pHYs before the first IDAT, and every checksum is right', async () => {
    const bytes = withPhys(await pngOf(art, 72), 300)
    const { chunks, whole } = pngChunks(bytes)
    const types = chunks.map(c => c.type)
    expect(whole).toBe(true)
    expect(types.filter(t => t === 'pHYs')).toHaveLength(1)
    expect(types.indexOf('pHYs')).toBeLessThan(types.indexOf('IDAT'))
    expect(types[0]).toBe('IHDR')
    expect(types.at(-1)).toBe('IEND')
    for (const c of chunks) {
      const stored = new DataView(bytes.buffer, bytes.byteOffset + c.offset + 8 + c.data.length, 4).getUint32(
        0,
      )
      expect(crc32(bytes.subarray(c.offset + 4, c.offset + 8 + c.data.length))).toBe(stored)
    }
    expect(declaredPpi(chunks)).toBeCloseTo(300, 2)
  })
  it('comes back pixel by pixel through another decoder', async () => {
    const back = PNG.sync.read(Buffer.from(await pngOf(art)))
    expect([back.width, back.height]).toEqual([7, 5])
    expect(Buffer.compare(back.data, Buffer.from(art.data))).toBe(0)
  })
  it('IEND has the checksum of the standard', () => {
    // PNG specification: an IEND chunk is always these twelve bytes.
    expect(hex(pngChunk('IEND', new Uint8Array()))).toBe('0000000049454e44ae426082')
  })
  it('that is not one is refused', () => expect(() => withPhys(new Uint8Array(30), 300)).toThrow(RangeError))
})
