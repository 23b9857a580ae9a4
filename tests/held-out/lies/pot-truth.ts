/** What is true on a pot whatever the scene is about: lids, skins, layers and plugs, read off the body itself. */
import type { Span } from './course.ts'
import type { Bench } from './pot-bench.ts'
import { potBody } from './pot-plan.ts'
import type { Pot } from './pot.ts'
import type { SceneTruth } from './shape.ts'
import { type Gauge, type Watch, spansOfAll, truthOf } from './stage.ts'

/** From these sizes on it is a lie, °C; at the second figure it has ended. Common practice, no source. */
export const sizesC = {
  /** A still surface is honestly 1–3 °C below the bulk; 4 °C is half a coat's window. */
  skin: [4, 2.5],
  /** Two depths that differ by this are not one temperature to paint with. */
  layers: [4, 2.5],
  /** A probe below the melting band while the wax below it is molten and this much hotter. */
  plug: [15, 8],
} as const

/** In healthy scenes already this much is marked, so that a doubt in the grey between is not called false. */
export const greyC = { skin: [2.8, 2], layers: [2.5, 1.8], plug: [6, 4] } as const

type Sizes = Record<keyof typeof sizesC, readonly [on: number, off: number]>

export const skinDeficit = (pot: Pot): number => (pot.lidOn ? 0 : pot.waxC(0.5) - pot.skinC)

export function plugDepth(pot: Pot, tipC: number): number {
  const below = pot.waxC(0.05, true)
  return tipC < pot.make.meltsToC && below > pot.make.meltsToC ? below - tipC : 0
}

interface Mark extends Watch<Pot> {
  kind: SceneTruth['kind']
  instrument: string
  or?: string
}

const watch = (size: (pot: Pot) => number, [on, off]: readonly [number, number]): Watch<Pot> => ({
  size,
  on,
  off,
  leastS: 120,
})

/** All such truths of these gauges but those of the lie itself. */
export function alsoTrue(
  id: string,
  b: Bench,
  gauges: readonly Gauge<Pot>[],
  sizes: Sizes,
  but: readonly string[] = [],
): SceneTruth[] {
  const looked = gauges.filter(({ is }) => !but.includes(is.id))
  const wet = looked.filter(({ is }) => is.kind === 'thermocouple')
  const guns = looked.filter(({ is }) => is.kind === 'infrared')
  const tip = ({ voices }: Gauge<Pot>, pot: Pot): number => voices[0]!.sees(pot, 0)
  const marks: Mark[] = wet.map((gauge) => ({
    kind: 'in-solid',
    instrument: gauge.is.id,
    ...watch((pot) => plugDepth(pot, tip(gauge, pot)), sizes.plug),
  }))
  const [a, z] = wet
  if (a && z) {
    const layers = watch((pot) => Math.abs(tip(a, pot) - tip(z, pot)), sizes.layers)
    marks.push({ kind: 'not-stirred', instrument: a.is.id, or: z.is.id, ...layers })
  }
  for (const { is } of guns) marks.push({ kind: 'sees-skin', instrument: is.id, ...watch(skinDeficit, sizes.skin) })
  const lids = gauges
    .filter(({ is }) => is.kind === 'infrared')
    .flatMap(({ is }) => b.lids.map((span) => truthOf(b, 'blind', is.id, span)))
  return [...spansOfAll(potBody(id, b), marks, b.stepS).flatMap(told), ...lids]

  function told(spans: readonly Span[], i: number): SceneTruth[] {
    const { kind, instrument, or } = marks[i]!
    return spans.map((span) => truthOf(b, kind, instrument, span, or))
  }
}
