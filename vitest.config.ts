import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vitest/config'

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url))

export default defineConfig({
  resolve: {
    alias: {
      '@': here('.'),
      'server-only': here('./node_modules/server-only/empty.js'),
    },
  },
  test: {
    include: ['tests/**/*.test.ts', 'tests/**/*.test.tsx'],
    environment: 'node',
    // Real databases and processes on a busy machine.
    testTimeout: 60_000,
    hookTimeout: 120_000,
    globalSetup: 'tests/support/scratch-folder.ts',
    setupFiles: 'tests/support/cases.ts',
    // The shop's zone is an argument everywhere; the machine's own zone must not matter.
    // What the server writes about itself is not what a test says.
    env: { TZ: 'America/Los_Angeles', SHIRTWRIGHT_LOG: 'silent' },
  },
})
