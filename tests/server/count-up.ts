// One of several processes of adapter.test.ts: reads a number and writes it back raised by one, many times.
import { closeDatabase, transaction } from '@/lib/server/database'

for (let i = 0; i < Number(process.argv[2]); i++) {
  await transaction(async tx => {
    const { next } = await tx.counter.findUniqueOrThrow({ where: { name: 'order' } })
    await tx.counter.update({ where: { name: 'order' }, data: { next: next + 1 } })
  })
}
await closeDatabase()
