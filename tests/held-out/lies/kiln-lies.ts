/** Kilns in which a thermocouple ages, orders or is moved: seen against its twin, over several firings. */
import { Chance } from './chance.ts'
import { type Fires, type Spot, airOf, fires, isGas, kilnProbe } from './kiln-bench.ts'
import { Kiln } from './kiln.ts'
import type { SceneTruth } from './shape.ts'
import { type Gauge, type Plan, meanOver, spansOf, truthOf } from './stage.ts'

export type KilnThrow = (chance: Chance, id: string, turn: number) => Plan<Kiln> | undefined

export function kilnBody(id: string, f: Fires, wires: readonly number[] = []): { world(): Kiln; durationS: number } {
  return { world: () => new Kiln(f.make, f.days, new Chance(`${id}:kiln`), wires), durationS: f.durationS }
}

export function kilnPlan(
  id: string,
  f: Fires,
  gauges: readonly Gauge<Kiln>[],
  truth: readonly SceneTruth[],
  wires: readonly number[] = [],
): Plan<Kiln> {
  return {
    id,
    class: f.class,
    stationKind: 'kiln',
    startMs: f.startMs,
    stepS: f.stepS,
    gauges,
    truth,
    ...kilnBody(id, f, wires),
  }
}

/** Which of the two lies. */
const pairs = [
  ['A', 'B'],
  ['B', 'A'],
] as const satisfies readonly (readonly [Spot, Spot])[]

/**
 * Where it is a lie, °C: above it from the first figure on, until it falls below the second. The peak must reach
 * 2.5.
 */
export const orderingC = { on: 1.5, off: 1, peak: 2.5 } as const

/**
 * Type K beside a twin of type N, S or R, resting at 320–500 °C for 8–26 h. A lie from 2.5 °C at its highest on,
 * which is what class 2 allows at such temperatures for everything together.
 */
export const ordering: KilnThrow = (chance, id, turn) => {
  const f = fires(chance, {
    gas: isGas(turn),
    firings: [1, 7],
    shapes: ['rest', 'rest', 'rest', 'mould'],
    sameShape: 0.85,
    pauseH: [1, 8],
  })
  const wires = [chance.scaled(0.7, 1.9)]
  const [liarAt, twinAt] = chance.pick(pairs)
  const silentInPauses = chance.often(0.6)
  let peak = 0
  const error = (kiln: Kiln): number => kiln.wires[0]!.errorC
  const liar = kilnProbe(chance, f, liarAt, {
    type: 'K',
    sees: (kiln) => airOf(liarAt)(kiln) + error(kiln),
    silentInPauses,
  })
  const twin = kilnProbe(chance, f, twinAt, { type: chance.pick(['N', 'N', 'S', 'R'] as const), silentInPauses })
  const gauges = [
    liar,
    twin,
    ...(chance.often(0.3) ? [kilnProbe(chance, f, 'load', { type: 'N', silentInPauses })] : []),
  ]
  const noting = (kiln: Kiln): number => {
    peak = Math.max(peak, error(kiln))
    return error(kiln)
  }
  const spans = spansOf(kilnBody(id, f, wires), noting, {
    ...orderingC,
    stepS: f.stepS,
    leastS: 900,
  })
  const share = spans.reduce((sum, [from, to]) => sum + to - from, 0) / f.durationS
  if (peak < orderingC.peak || share < 0.3 || share > 0.75) return undefined
  return kilnPlan(
    id,
    f,
    gauges,
    spans.map((span) => truthOf(f, 'ordering', liar.is.id, span)),
    wires,
  )
}

/**
 * Reads lower than its twin from firing to firing. A lie from 2 °C at 700 °C on, with 4 °C at the end at least: the
 * trade replaces a probe at differences of that order. Grows mostly while hot, unevenly, in proportion to the
 * temperature.
 */
export const ageing: KilnThrow = (chance, id, turn) => {
  const f = fires(chance, {
    gas: isGas(turn),
    firings: [6, 20],
    shapes: ['flash', 'preheat', 'mould'],
    sameShape: chance.pick([1, 0.8]),
    pauseH: [2, 20],
  })
  const starts = Math.floor(chance.between(0, 0.55) * f.firings.length)
  const each = chance.scaled(0.35, 2)
  const growth: { fromS: number; toS: number; C: number }[] = f.firings
    .slice(starts)
    .map(({ fromS, offS }) => ({ fromS: (fromS + offS) / 2, toS: offS, C: each * chance.between(0.3, 1.7) }))
  const drift = (tS: number): number => {
    let sum = 0
    for (const { fromS, toS, C } of growth) {
      if (fromS >= tS) break
      sum += C * Math.min(1, (tS - fromS) / (toS - fromS))
    }
    return sum
  }
  const total = drift(f.durationS)
  const begins = f.firings.find(({ offS }) => drift(offS) >= 2)
  if (total < 4 || begins === undefined) return undefined
  const share = 1 - begins.offS / f.durationS
  if (share < 0.28 || share > 0.72 || f.firings.filter(({ fromS }) => fromS > begins.offS).length < 3) return undefined
  const [liarAt, twinAt] = chance.pick(pairs)
  const silentInPauses = chance.often(0.6)
  const liar = kilnProbe(chance, f, liarAt, {
    type: chance.pick(['K', 'K', 'K', 'N'] as const),
    sees: (kiln, tS) => {
      const trueC = airOf(liarAt)(kiln)
      return trueC - drift(tS) * (Math.max(0, trueC - kiln.ambientC) / 680) ** 1.15
    },
    silentInPauses,
  })
  const gauges = [
    liar,
    kilnProbe(chance, f, twinAt, { silentInPauses }),
    ...(chance.often(0.5) ? [kilnProbe(chance, f, 'load', { silentInPauses })] : []),
  ]
  return kilnPlan(id, f, gauges, [truthOf(f, 'ageing', liar.is.id, [begins.offS, f.durationS])])
}

/**
 * Moved between two firings: less far inserted (nearer to the wall and to the yard), or pushed nearer to a flame. A
 * lie from 5 °C at working temperature on, more than such a pair differs by in a ramp. Which of two was moved only a
 * third can tell.
 */
export const moved: KilnThrow = (chance, id, turn) => {
  const f = fires(chance, {
    gas: isGas(turn),
    firings: [3, 12],
    shapes: ['flash', 'preheat', 'mould'],
    sameShape: 1,
    pauseH: [2, 20],
  })
  const at = Math.max(1, Math.min(f.firings.length - 1, Math.round(chance.between(0.3, 0.7) * f.firings.length)))
  const fromS = f.firings[at]!.fromS - 1
  const share = 1 - fromS / f.durationS
  if (share < 0.28 || share > 0.72) return undefined
  const inward = chance.often(0.2)
  const size = inward ? -chance.scaled(0.007, 0.03) : chance.scaled(0.007, 0.1)
  const wall = inward ? 0 : chance.between(0, 0.35)
  const [liarAt, twinAt] = chance.pick(pairs)
  const silentInPauses = chance.often(0.6)
  const felt = (kiln: Kiln): number => {
    const air = airOf(liarAt)(kiln)
    const there = air + wall * (kiln.wallC - air)
    return there - size * (there - kiln.ambientC)
  }
  const liar = kilnProbe(chance, f, liarAt, {
    sees: (kiln, tS) => (tS > fromS ? felt(kiln) : airOf(liarAt)(kiln)),
    silentInPauses,
  })
  const gauges = [
    liar,
    kilnProbe(chance, f, twinAt, { silentInPauses }),
    ...(chance.often(0.6) ? [kilnProbe(chance, f, 'load', { silentInPauses })] : []),
  ]
  let [sum, count] = [0, 0]
  const off = (kiln: Kiln, tS: number): number => {
    const air = airOf(liarAt)(kiln)
    if (air > 450 && tS > fromS) [sum, count] = [sum + felt(kiln) - air, count + 1]
    return 0
  }
  meanOver(kilnBody(id, f), off, { fromS: 0, toS: f.durationS, stepS: f.stepS })
  const mean = count === 0 ? 0 : Math.abs(sum / count)
  if (mean < 5 || mean < Math.abs(f.make.firingC)) return undefined
  return kilnPlan(id, f, gauges, [truthOf(f, 'moved', liar.is.id, [fromS, f.durationS], gauges[1]!.is.id)])
}
