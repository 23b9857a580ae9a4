/** A burnout's view with what a test speaks of, and nothing remarkable otherwise. */
import type { BurnoutView } from '../../shared/contract/index.ts'

export function burnoutView(said: Partial<BurnoutView>): BurnoutView {
  return {
    kind: 'burnout',
    temperatureC: null,
    segment: 0,
    segmentSince: 0,
    began: [],
    targetC: null,
    deviationC: null,
    creditedMs: 0,
    phase: 'on-line',
    governing: [],
    slowest: null,
    airCPerHour: null,
    holds: [],
    crossings: [],
    losses: [],
    hands: [],
    appointed: [],
    leavesEarly: null,
    ready: { is: 'cannot-tell', why: 'no-criterion' },
    pulledAt: null,
    pouredAt: null,
    ...said,
  }
}
