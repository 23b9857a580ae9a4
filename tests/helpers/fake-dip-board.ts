/** What dries in the invented foundry: one batch dry, one on its way, one of which nobody can tell. */
import type { DipBoard, DipBoardItem } from '../../shared/contract/index.ts'
import { hourMs, minuteMs } from '../../shared/time.ts'
import { fakeNow } from './fake-foundry.ts'

const batch: DipBoardItem = {
  run: 'r-9',
  station: 'D1',
  piece: 'Heron 4, second prime',
  recipe: 'fresh-prime',
  startedAt: fakeNow - 7 * hourMs,
  startedBy: 'Ana',
  earliestAt: fakeNow - 4 * hourMs,
  latestAt: fakeNow + 5 * hourMs,
  probe: 'd1-p1',
  probes: ['d1-p1', 'd1-p2'],
  verdict: 'not-yet',
  unknown: null,
  drySince: null,
  recovery: 0.78,
  width: 0.05,
  left: 0.17,
  dryShare: 0.05,
  forecast: { at: fakeNow + 2 * hourMs, lowAt: fakeNow + 80 * minuteMs, highAt: fakeNow + 3 * hourMs },
  taught: 3,
  power: { soFar: 42, coverage: 0.98, usual: { nights: 3, from: 55, to: 61 } },
  weighings: [{ at: fakeNow - 6.8 * hourMs, grams: 862.4, probe: 'd1-p1', by: 'Ana' }],
  indicator: { at: fakeNow - hourMs, dry: false, by: 'Ana' },
}

export const fakeDipBoard = (): DipBoard => ({
  now: fakeNow,
  readTo: fakeNow,
  everyMs: minuteMs,
  items: [
    {
      ...batch,
      run: 'r-8',
      piece: 'Bell brackets',
      verdict: 'dry',
      drySince: fakeNow - hourMs,
      left: 0.02,
      forecast: null,
    },
    batch,
    {
      ...batch,
      run: 'r-7',
      piece: 'Wing panel',
      verdict: 'cannot-tell',
      unknown: 'never-weighed',
      left: null,
      forecast: null,
      taught: 0,
      weighings: [],
      indicator: null,
    },
  ],
})
