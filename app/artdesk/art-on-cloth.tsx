import { classNames } from '@/app/parts/class-names'
import styles from './artdesk.module.css'

/**
 * An artwork on a patch of its cloth.
 * @param hex the cloth's colour
 * @param large fills its column; else a thumbnail for a list
 */
export function ArtOnCloth({
  id,
  name,
  hex,
  large,
}: {
  id: string
  name: string
  hex: string
  large?: boolean
}) {
  return (
    <span className={classNames(styles.cloth, large && styles.large)} style={{ background: hex }}>
      {/* biome-ignore lint/performance/noImgElement: the picture is made to size by our own route and kept by the browser */}
      <img
        src={`/api/artwork/${id}/picture?size=${large ? 1200 : 160}`}
        alt={large ? name : ''}
        loading={large ? 'eager' : 'lazy'}
      />
    </span>
  )
}
