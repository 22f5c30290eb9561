// One of several processes of adapter.test.ts: reads a number and writes it back raised by one, many times.
import { closeDatabase, Prisma, transaction } from '@/lib/server/database'

for (let done = 0; done < Number(process.argv[2]); )
  try {
    await transaction(async tx => {
      const { next } = await tx.counter.findUniqueOrThrow({ where: { name: 'order' } })
      await tx.counter.update({ where: { name: 'order' }, data: { next: next + 1 } })
    })
    done++
  } catch (error) {
    // On a busy machine the others may hold the file for longer than a write waits: it was refused, so it did not count.
    if (!(error instanceof Prisma.PrismaClientKnownRequestError && error.code === 'P1008')) throw error
  }
await closeDatabase()
