import sharp from 'sharp'
import { type Drawing, svgOf } from './drawings'

/** The PNG that a customer would have sent: drawn at its resolution, which it declares. */
export const pngOf = (drawing: Drawing): Promise<Buffer> =>
  sharp(Buffer.from(svgOf(drawing)), { limitInputPixels: false })
    .png({ compressionLevel: 6 })
    .withMetadata({ density: drawing.ppi })
    .toBuffer()
