import { Fragment, type ReactNode } from 'react'
import { ORIGIN_WORDS, type Working } from '@/lib/units/working'
import styles from './working-sheet.module.css'

/** The working of a figure, open: formula, inputs with where each came from, result. */
export function WorkingSheet({ working, title }: { working: Working; title?: ReactNode }) {
  return (
    <div className={styles.working}>
      {title && <p className={styles.title}>{title}</p>}
      <p className={styles.formula}>{working.formula}</p>
      <table className={styles.inputs}>
        <caption className="aloud">Inputs</caption>
        <thead className="aloud">
          <tr>
            <th scope="col">Input</th>
            <th scope="col">Value</th>
            <th scope="col">From</th>
          </tr>
        </thead>
        <tbody>
          {working.inputs.map((input, i) => (
            // Two inputs may share a name: two prints of one order.
            // biome-ignore lint/suspicious/noArrayIndexKey: the list never changes its order
            <Fragment key={i}>
              <tr className={input.working && styles.open}>
                <th scope="row">{input.name}</th>
                <td className={styles.value}>{input.value}</td>
                <td className={styles.from} data-from={input.from}>
                  {ORIGIN_WORDS[input.from]}
                  {input.source && <span className={styles.source}>{input.source}</span>}
                </td>
              </tr>
              {input.working && (
                <tr>
                  <td colSpan={3} className={styles.deeper}>
                    <details>
                      <summary>how {input.name} came about</summary>
                      <WorkingSheet working={input.working} />
                    </details>
                  </td>
                </tr>
              )}
            </Fragment>
          ))}
        </tbody>
        <tfoot>
          <tr>
            <th scope="row">gives</th>
            <td className={styles.value}>{working.result}</td>
            <td />
          </tr>
        </tfoot>
      </table>
      {working.note && <p className={styles.note}>{working.note}</p>}
    </div>
  )
}
