/** From a bench with its gauges to a scene that can be played. */
import { Chance } from './chance.ts'
import type { Bench } from './pot-bench.ts'
import { Pot } from './pot.ts'
import type { SceneTruth } from './shape.ts'
import type { Gauge, Plan } from './stage.ts'

/** The body alone: the same each time, whoever looks at it. */
export function potBody(id: string, b: Bench): { world(): Pot; durationS: number } {
  return { world: () => new Pot(b.make, b.day, new Chance(`${id}:pot`)), durationS: b.durationS }
}

export function potPlan(id: string, b: Bench, gauges: readonly Gauge<Pot>[], truth: readonly SceneTruth[]): Plan<Pot> {
  return {
    id,
    class: b.class,
    stationKind: 'pot',
    startMs: b.startMs,
    stepS: b.stepS,
    gauges,
    truth,
    ...potBody(id, b),
  }
}
