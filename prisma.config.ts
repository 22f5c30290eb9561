import { defineConfig } from 'prisma/config'

// `prisma generate` asks for a schema engine, which it would download, and then does not use it:
// any existing file will do. Migrations are written and applied by scripts/migrate.ts.
process.env.PRISMA_SCHEMA_ENGINE_BINARY ??= process.execPath
process.env.CHECKPOINT_DISABLE ??= '1'

export default defineConfig({
  schema: 'prisma/schema',
  migrations: { path: 'prisma/migrations' },
})
