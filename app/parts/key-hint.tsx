import styles from './key-hint.module.css'

/** The key that does the same: "space", "Enter". Shown where there is a keyboard; read aloud nowhere, as the button is. */
export function KeyHint({ keys }: { keys: string }) {
  return (
    <span className={styles.key} aria-hidden="true">
      {keys}
    </span>
  )
}
