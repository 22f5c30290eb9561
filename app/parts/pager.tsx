import { ButtonLink } from './button'
import styles from './pager.module.css'

/**
 * Which part of a long list stands here, and the way to the next and the one before.
 * @param page from 1
 * @param size rows a page
 * @param total rows in all
 * @param href gives the address of a page
 * @param what the rows, in the plural: "orders"
 */
export function Pager({
  page,
  size,
  total,
  href,
  what,
}: {
  page: number
  size: number
  total: number
  href: (page: number) => string
  what: string
}) {
  const pages = Math.max(1, Math.ceil(total / size))
  if (total <= size && page === 1) return null
  const first = (page - 1) * size + 1
  return (
    <nav className={styles.pager} aria-label={`Pages of ${what}`} data-screen-only>
      <span>
        {total === 0 || first > total
          ? `No ${what} on this page of ${pages}`
          : `${first.toLocaleString('en')} to ${Math.min(total, page * size).toLocaleString('en')} of ${total.toLocaleString('en')} ${what}`}
      </span>
      {page > 1 && (
        <ButtonLink href={href(Math.min(page - 1, pages))} rel="prev" size="small">
          Before
        </ButtonLink>
      )}
      {page < pages && (
        <ButtonLink href={href(page + 1)} rel="next" size="small">
          Next {Math.min(size, total - page * size)}
        </ButtonLink>
      )}
    </nav>
  )
}
