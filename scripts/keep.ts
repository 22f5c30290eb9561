// npm run backup | restore | export | import: the shop kept safe. SHIRTWRIGHT_DATA names the data folder, SHIRTWRIGHT_BACKUPS where backups go.
//   backup                    backs up now, checks the backup, and drops what need not be kept
//   backup -- --if-due        only if the last one is a day old (npm start asks every hour)
//   backup -- --check FOLDER  checks one backup
//   restore -- FOLDER         puts a backup in place of the shop, once the shop is stopped
//   export -- FOLDER          writes every table as JSON and CSV, with the files;   import -- FOLDER  makes a shop of it
import { existsSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { dataFolder } from '@/lib/server/data-folder'
import {
  backupsIn,
  checkBackup,
  exportShop,
  importShop,
  makeBackup,
  placeOf,
  prune,
  restore,
} from './support/backup'

const DUE_MS = 23 * 60 * 60 * 1000
const [task, ...rest] = process.argv.slice(2)
const data = dataFolder()
const shop = placeOf(data)
const folder = resolve(process.env.SHIRTWRIGHT_BACKUPS ?? join(data, 'backups'))
const given = (what: string): string => {
  const path = rest.find(one => !one.startsWith('--'))
  if (!path) throw new Error(`Say which ${what}: npm run ${task} -- FOLDER`)
  return resolve(path)
}
const total = (counts: Record<string, number>) => Object.values(counts).reduce((a, b) => a + b, 0)

const tasks: Record<string, () => Promise<string | undefined>> = {
  backup: async () => {
    if (rest.includes('--check')) {
      const { made, tables } = await checkBackup(given('backup'))
      return `The backup of ${made} is whole: ${Object.keys(tables).length} tables, as they were.`
    }
    if (!existsSync(shop.database)) throw new Error(`There is no shop in ${data}.`)
    const now = new Date()
    const last = backupsIn(folder)[0]
    if (rest.includes('--if-due') && last && now.getTime() - last.made.getTime() < DUE_MS) return
    const made = await makeBackup(shop, folder, now)
    const gone = prune(folder)
    return `Backed up to ${made}, and checked.${gone ? ` ${gone} old ones went.` : ''}`
  },
  restore: async () => {
    const before = await restore(given('backup'), shop, new Date(), line => console.log(line))
    return `The shop is as the backup has it.${before ? ` The one from before is kept as ${before}.` : ''}`
  },
  export: async () => {
    if (!existsSync(shop.database)) throw new Error(`There is no shop in ${data}.`)
    return `Wrote ${total(exportShop(shop, given('folder')))} rows.`
  },
  import: async () => `Made the shop anew: ${total(await importShop(given('folder'), shop))} rows.`,
}

try {
  const work = tasks[task ?? '']
  if (!work) throw new Error('Say one of: backup, restore, export, import.')
  const said = await work()
  if (said) console.log(said)
} catch (error) {
  console.error(error instanceof Error ? error.message : error)
  process.exitCode = 1
}
