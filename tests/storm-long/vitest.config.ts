/** The long storms and soaks of `npm run storm`: too long for every change, run before a release. */
import { defineConfig } from 'vitest/config'

export default defineConfig({
  test: {
    root: '.',
    include: ['tests/storm-long/**/*.test.ts'],
    fileParallelism: false,
    testTimeout: 2 * 3_600_000,
    hookTimeout: 300_000,
  },
})
