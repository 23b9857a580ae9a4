/** Pots on which an instrument lies by where it is or what it looks at: TRADE's list of lies on a pot. */
import type { DoubtKind } from '../../../shared/contract/doubt.ts'
import type { Chance } from './chance.ts'
import { type Span, partOf, spells } from './course.ts'
import {
  type Bench,
  type Wish,
  bench,
  depths,
  evenly,
  gun,
  hundredth,
  livelyWax,
  probe,
  soundOptics,
} from './pot-bench.ts'
import { potBody, potPlan } from './pot-plan.ts'
import { alsoTrue, plugDepth, sizesC, skinDeficit } from './pot-truth.ts'
import { type Optics, type Pot, infraredC, widthM } from './pot.ts'
import type { SceneInstrument } from './shape.ts'
import { type Gauge, type Plan, meanOver, spansOf, truthOf } from './stage.ts'

/** undefined: this throw of the dice gave nothing that could be known; throw again. */
export type Throw = (chance: Chance, id: string, turn: number) => Plan<Pot> | undefined

const inPart = ([fromS, toS]: Span, tS: number): boolean => tS >= fromS && tS <= toS

/** Warm wax, evenly stirred or thin: nothing else is wrong than what the scene is about. */
export const quiet: Wish = { start: 'warm', ...livelyWax, stir: evenly }

/** The same in a house that has compared its instruments and keeps a stirrer running. */
const compared: Wish = {
  ...quiet,
  skinFilm: [900, 1_400],
  stir: (_, durationS) => ({ spans: [[0, durationS]], strength: 0.5 }),
}

/** Where the same two instruments would honestly differ by more than half the lie, nobody could know. */
function knowable(sizeC: number, leastC: number, gauges: readonly Gauge<Pot>[], skinC = 0): boolean {
  const offsets = gauges.slice(0, 2).reduce((sum, { voices }) => sum + Math.abs(voices[0]!.make.offset), 0)
  return sizeC >= leastC && sizeC >= 2 * (offsets + skinC)
}

export interface Lie {
  instrument: string
  kind: DoubtKind
  span: Span
  or?: string
}

/** The scene, unless the body does something else for long that would be another doubt. */
export function only(id: string, b: Bench, gauges: readonly Gauge<Pot>[], lies: readonly Lie[]): Plan<Pot> | undefined {
  const liars = lies.flatMap(({ instrument, or }) => (or === undefined ? [instrument] : [instrument, or]))
  const also = alsoTrue(id, b, gauges, sizesC, liars)
  if (also.reduce((sum, { from, to }) => sum + to - from, 0) > 80 * b.durationS) return undefined
  const told = lies.map(({ instrument, kind, span, or }) => truthOf(b, kind, instrument, span, or))
  return potPlan(id, b, gauges, [...told, ...also])
}

/** What is done to the sight of an infrared thermometer, and what the house knows of its setting. */
interface Squint {
  sight(sound: Optics, pot: Pot, tS: number): Optics
  known?: Partial<NonNullable<SceneInstrument['infrared']>>
}

/**
 * Infrared that is wrong over part of the scene; at least `leastC` low, averaged. The smallest sizes can be known
 * only where a stirrer runs and the instruments were compared before: `fine` is the share of such houses, and these
 * get small sizes.
 */
function lowSight(
  kind: DoubtKind,
  { leastC, fine }: { leastC: number; fine: number },
  make: (chance: Chance, b: Bench, sound: Optics, small: boolean) => Squint,
): Throw {
  return (chance, id, turn) => {
    const small = chance.often(fine)
    const b = bench(chance, small ? compared : quiet, turn)
    const most = small ? { offset: 0.3 } : {}
    const part = partOf(chance, b.durationS)
    const optics = soundOptics(chance, b.day.ambientC(0))
    const { sight, known } = make(chance, b, optics, small)
    const ir = gun(chance, b, {
      optics,
      most,
      sight: (sound, pot, tS) => (inPart(part, tS) ? sight(sound, pot, tS) : sound),
      ...(known === undefined ? {} : { known }),
    })
    const gauges = [probe(chance, b, 'wax-middle', { most }), ir]
    if (chance.often(0.4)) gauges.push(probe(chance, b, 'wax-bottom'))
    const low = (pot: Pot, tS: number): number => infraredC(pot, optics) - infraredC(pot, sight(optics, pot, tS))
    const during = { fromS: part[0], toS: part[1], stepS: b.stepS }
    const size = meanOver(potBody(id, b), low, during)
    if (!knowable(size, leastC, gauges, Math.abs(meanOver(potBody(id, b), skinDeficit, during)))) return undefined
    return only(id, b, gauges, [{ instrument: 'ir', kind, span: part }])
  }
}

/**
 * Setting or glancing view: true emissivity 0.72–0.92 against a setting of 0.95 or what was found earlier.
 * From 2 °C low on: less is within what such an instrument may honestly err.
 */
export const emissivity = lowSight('emissivity', { leastC: 2, fine: 0.5 }, (chance, _b, sound, small) => {
  const true_ = small ? chance.between(0.875, 0.92) : chance.between(0.72, 0.89)
  const glancing = chance.often(0.35)
  // Beyond some 50° off square a smooth surface sends less; who leans the gun further in also sways a little.
  const sway = glancing ? chance.between(0, 0.012) : 0
  const period = chance.between(300, 2_400)
  const sight = (honest: Optics, _: Pot, tS: number): Optics => ({
    ...honest,
    emissivity: true_ - sway + sway * Math.sin(tS / period),
  })
  return glancing ? { sight, known: { emissivity: hundredth(sound.emissivity) } } : { sight }
})

/** Bright metal instead of wax, emissivity 0.05–0.35: at least 15 °C low on the average, which is always gross. */
export const seesMetal = lowSight('sees-metal', { leastC: 15, fine: 0 }, (chance) => {
  const rimEmissivity = chance.between(0.05, 0.35)
  const onWax = chance.often(0.7) ? 0 : chance.between(0, 0.1)
  return { sight: (sound) => ({ ...sound, onWax, rimShare: 1, rimEmissivity }) }
})

/**
 * A spot of 1.0–2.4 times the target: from 2 °C low on, as for emissivity. Its size and the target's are known to
 * the house.
 */
export const spotTooLarge = lowSight('spot-too-large', { leastC: 2, fine: 0.3 }, (chance, b, _sound, small) => {
  const targetMm = Math.round(1_000 * widthM(b.make))
  const times = small ? chance.between(1, 1.15) : chance.between(1, 2.4)
  // Nine tenths of what it sees lie within the nominal spot, evenly round.
  const onWax = 1 - 0.1 ** (1 / times ** 2)
  const rimEmissivity = chance.between(0.1, 0.5)
  const rimShare = chance.between(0.2, 0.8)
  return {
    sight: (sound) => ({ ...sound, onWax, rimShare, rimEmissivity }),
    known: { targetMm, spotMm: Math.max(targetMm, Math.round(targetMm * times)) },
  }
})

/** A still surface: stirred all the time in one part, only now and then by hand in the other. */
export const seesSkin: Throw = (chance, id, turn) => {
  let still: Span = [0, 0]
  const b = bench(
    chance,
    {
      ...quiet,
      skinFilm: [70, 200],
      stir: (c, durationS) => {
        still = partOf(c, durationS, [0.4, 0.75])
        const byHand = spells(c, still, [1_200, 3_600], [60, 200])
        const strength = c.between(0.5, 1)
        const spans: Span[] = [[0, still[0]], ...byHand, [still[1], durationS]]
        return { spans: spans.filter(([from, to]) => to > from), strength }
      },
    },
    turn,
  )
  const gauges = [
    probe(chance, b, 'wax-middle'),
    gun(chance, b),
    ...(chance.often(0.3) ? [probe(chance, b, 'wax-bottom')] : []),
  ]
  const [on, off] = sizesC.skin
  const spans = spansOf(potBody(id, b), skinDeficit, { on, off, stepS: b.stepS, leastS: 600 })
  const lies = spans.filter(([from, to]) => to > still[0] && from < still[1])
  const share = lies.reduce((sum, [from, to]) => sum + to - from, 0) / b.durationS
  if (share < 0.3 || share > 0.72) return undefined
  if (!knowable(on, on, gauges)) return undefined
  return only(
    id,
    b,
    gauges,
    lies.map((span) => ({ instrument: 'ir', kind: 'sees-skin', span })),
  )
}

/**
 * Sees the lid, the vapour or a film: blind from the first moment, whatever the number; 10 °C low at least on the
 * average.
 */
export const blind: Throw = (chance, id, turn) => {
  const way = chance.pick(['lid', 'lid', 'steam', 'film'] as const)
  let part: Span = [0, 0]
  const b = bench(
    chance,
    {
      ...quiet,
      lids: (c, durationS) => {
        part = partOf(c, durationS)
        return way === 'lid' ? [part] : []
      },
    },
    turn,
  )
  if (way === 'lid') part = b.lids[0]!
  const warmth = chance.between(0.04, 0.2)
  const films = { opaque: chance.between(0, 0.05), overS: chance.scaled(60, 1_500) }
  const thick = chance.between(0.15, 0.45)
  const beat = chance.scaled(40, 400)
  const sight = (sound: Optics, pot: Pot, tS: number): Optics => {
    if (way === 'lid' || !inPart(part, tS)) return sound
    if (way === 'film') {
      const clear = Math.max(films.opaque, Math.exp((part[0] - tS) / films.overS))
      return { ...sound, clear, betweenC: pot.ambientC + warmth * (pot.skinC - pot.ambientC) }
    }
    const waves = Math.sin(tS / beat) + Math.sin(tS / (2.7 * beat) + 1) + 0.7 * Math.sin(tS / (0.31 * beat))
    return {
      ...sound,
      clear: Math.min(0.9, Math.max(0.02, thick * (1 + 0.9 * waves))),
      betweenC: 0.6 * pot.airC + 0.4 * pot.ambientC,
    }
  }
  const gauges = [
    probe(chance, b, 'wax-middle'),
    gun(chance, b, { sight, most: { step: chance.pick([0.01, 0.1, 0.0625]) } }),
    ...(chance.often(0.4) ? [probe(chance, b, 'wax-bottom')] : []),
  ]
  const optics = soundOptics(chance, 22)
  const low = (pot: Pot, tS: number): number => pot.skinC - infraredC(pot, sight(optics, pot, tS))
  if (meanOver(potBody(id, b), low, { fromS: part[0], toS: part[1], stepS: b.stepS }) < 10) return undefined
  return only(id, { ...b, lids: [] }, gauges, [{ instrument: 'ir', kind: 'blind', span: part }])
}

/** A probe that is moved for part of the scene; off by at least `leastC`, averaged. */
function displaced(
  kind: DoubtKind,
  leastC: number,
  felt: (chance: Chance) => (pot: Pot, waxC: number) => number,
  lagS: number,
  wish: Wish,
): Throw {
  return (chance, id, turn) => {
    const b = bench(chance, wish, turn)
    const part = partOf(chance, b.durationS)
    const place = chance.pick(['wax-middle', 'wax-middle', 'wax-top', 'wax-bottom'] as const)
    const level = depths[place]
    const feels = felt(chance)
    const liar = probe(chance, b, place, {
      sees: (pot, tS) => (inPart(part, tS) ? feels(pot, pot.waxC(level)) : pot.waxC(level)),
      most: { lagS },
    })
    const others = chance.pick(['ir', 'probe', 'both'] as const)
    const gauges = [liar]
    if (others !== 'probe' && b.lids.length === 0) gauges.push(gun(chance, b))
    if (others !== 'ir' || gauges.length === 1)
      gauges.push(probe(chance, b, place === 'wax-middle' ? 'wax-bottom' : 'wax-middle'))
    const off = (pot: Pot): number => Math.abs(feels(pot, pot.waxC(level)) - pot.waxC(level))
    const size = meanOver(potBody(id, b), off, { fromS: part[0], toS: part[1], stepS: b.stepS })
    if (!knowable(size, leastC, gauges)) return undefined
    return only(id, b, gauges, [{ instrument: liar.is.id, kind, span: part }])
  }
}

/**
 * Touches side, floor or element: from 4 °C on the average on, half a coat's window; that is 10 °C and more while it
 * heats.
 */
export const atTheWall = displaced(
  'at-the-wall',
  4,
  (chance) => {
    const touch = chance.between(0.6, 1)
    const what = chance.pick(['side', 'floor', 'element'] as const)
    return (pot, waxC) => {
      const metalC = { side: pot.sideC, floor: pot.floorC, element: 0.35 * pot.elementC + 0.65 * pot.floorC }[what]
      return touch * metalC + (1 - touch) * waxC
    }
  },
  18,
  quiet,
)

/**
 * Hangs in the air: from 8 °C on, a whole coat's window; the air over open wax is tens of °C colder, under a lid
 * less.
 */
export const outOfWax = displaced(
  'out-of-wax',
  8,
  (chance) => {
    const bare = chance.between(0.85, 1)
    return (pot, waxC) => bare * pot.airC + (1 - bare) * waxC
  },
  60,
  { ...quiet, lids: (chance, durationS) => (chance.often(0.35) ? [partOf(chance, durationS, [0.15, 0.5])] : []) },
)

/** A melt-down from cold with a probe in the plug; the scene ends some time after it has come free. */
export const inSolid: Throw = (chance, id, turn) => {
  const whole = bench(
    chance,
    {
      start: 'cold',
      vigour: [0.05, 1.5],
      skinFilm: livelyWax.skinFilm,
      stir: () => ({ spans: [], strength: 0 }),
      floorShare: [0.6, 1],
      hours: [7, 12],
    },
    turn,
  )
  const place = chance.pick(['wax-middle', 'wax-top'] as const)
  const level = depths[place]
  const liar = probe(chance, whole, place, { sees: (pot) => pot.waxC(level) })
  const [on, off] = sizesC.plug
  const [plug] = spansOf(potBody(id, whole), (pot) => plugDepth(pot, pot.waxC(level)), {
    on,
    off,
    stepS: whole.stepS,
    leastS: 900,
  })
  if (plug === undefined) return undefined
  const share = chance.between(0.3, 0.65)
  const durationS = Math.max((plug[1] - plug[0]) / share, plug[1] + 900)
  if (durationS > whole.durationS || durationS < 3_600) return undefined
  // Once it is free it is stirred, so that nothing else than the plug is to be seen.
  const free = plug[1] + chance.between(60, 600)
  const b: Bench = {
    ...whole,
    durationS: Math.round(durationS),
    day: { ...whole.day, stir: (tS) => (tS > free ? 0.5 : 0) },
  }
  const gauges = [liar, probe(chance, b, 'wax-bottom'), ...(chance.often(0.25) ? [gun(chance, b)] : [])]
  const also = alsoTrue(id, b, gauges, sizesC, [liar.is.id])
  return potPlan(id, b, gauges, [truthOf(b, 'in-solid', liar.is.id, plug), ...also])
}

/** Thick wax, two depths, hands that stir now and then; a stirrer runs in the honest part. */
export const unstirred: Throw = (chance, id, turn) => {
  let still: Span = [0, 0]
  const b = bench(
    chance,
    {
      ...quiet,
      vigour: [0.003, 0.06],
      floorShare: [0.1, 0.95],
      stir: (c, durationS) => {
        still = partOf(c, durationS, [0.4, 0.75])
        const byHand = spells(c, still, [1_500, 4_500], [60, 240])
        const spans: Span[] = [[0, still[0]], ...byHand, [still[1], durationS]]
        return { spans: spans.filter(([from, to]) => to > from), strength: c.between(0.5, 1) }
      },
      topUps: chance.often(0.4),
    },
    turn,
  )
  const pair = [
    probe(chance, b, chance.pick(['wax-top', 'wax-middle'] as const)),
    probe(chance, b, 'wax-bottom'),
  ] as const
  const [on, off] = sizesC.layers
  const apart = (pot: Pot, tS: number): number =>
    Math.abs(pair[0].voices[0]!.sees(pot, tS) - pair[1].voices[0]!.sees(pot, tS))
  const spans = spansOf(potBody(id, b), apart, { on, off, stepS: b.stepS, leastS: 600 })
  const share = spans.reduce((sum, [from, to]) => sum + to - from, 0) / b.durationS
  if (share < 0.3 || share > 0.72) return undefined
  if (!knowable(on, on, pair)) return undefined
  const [upper, lower] = [pair[0].is.id, pair[1].is.id]
  return only(
    id,
    b,
    [...pair],
    spans.map((span) => ({ instrument: upper, kind: 'not-stirred', span, or: lower })),
  )
}
