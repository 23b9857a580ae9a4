/** A burnout in the middle of its soak, for the fake foundry. */
import type { Run } from '../../shared/contract/index.ts'
import { burnoutView } from './burnout-view.ts'

const minute = 60_000
const hour = 60 * minute

export const burnoutAt = (now: number): Run => ({
  id: 'r-2',
  kind: 'burnout',
  station: 'K2',
  recipe: 'k2-200',
  revision: 1,
  piece: 'Load 41',
  startedAt: now - 26 * hour,
  startedBy: 'Bo',
  declared: false,
  progress: burnoutView({
    temperatureC: 695,
    segment: 5,
    segmentSince: now - 70 * minute,
    targetC: 700,
    deviationC: -5,
    creditedMs: 47 * minute,
    phase: 'credited',
    governing: ['k2-air', 'k2-load'],
    slowest: 'k2-load',
    stands: { refused: null, probe: null, since: now - 47 * minute },
    airCPerHour: 0.4,
    holds: [
      {
        segment: 5,
        from: now - 70 * minute,
        to: null,
        askedMs: 240 * minute,
        creditedMs: 47 * minute,
        refusedSums: [{ refused: 'too-cool', probe: 'k2-load', ms: 23 * minute }],
      },
    ],
    ready: {
      is: 'expected',
      at: now + 13 * hour,
      earliest: now + 12.5 * hour,
      latest: now + 13.6 * hour,
    },
  }),
})
