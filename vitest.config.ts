/** The tests of `npm test`: many small ones side by side, then the few that start a whole gateway, a broker or a browser, one by one. */
import { defineConfig } from 'vitest/config'

/** Folders whose tests start processes and measure them: they would disturb each other on two cores. */
const whole = ['tests/storm/**/*.test.ts', 'tests/journey/**/*.test.ts']

export default defineConfig({
  test: {
    maxWorkers: 2,
    projects: [
      {
        extends: true,
        test: {
          name: 'rooms',
          include: ['tests/**/*.test.ts'],
          exclude: [...whole, 'tests/storm-long/**'],
          testTimeout: 60_000,
          sequence: { groupOrder: 0 },
        },
      },
      {
        extends: true,
        test: {
          name: 'whole',
          include: whole,
          fileParallelism: false,
          testTimeout: 180_000,
          hookTimeout: 120_000,
          sequence: { groupOrder: 1 },
        },
      },
    ],
  },
})
