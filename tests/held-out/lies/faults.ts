/** Instruments that break wherever they are: leads, types, inputs, noise and clocks. */
import type { Chance } from './chance.ts'
import { type Span, partOf } from './course.ts'
import { type KnownType, mistakenC, reversedC, scaleEndsC } from './emf.ts'
import type { Fault } from './sensor.ts'
import type { Stand } from './stands.ts'
import { type Gauge, type Plan, type World, meanOver } from './stage.ts'

/** Written for any stand; undefined where the dice gave nothing that could be known. */
export type Break = <W extends World>(chance: Chance, stand: Stand<W>) => Plan<W> | undefined

/** Lowest and highest true value within a part of the scene. */
function rangeOver<W extends World>(stand: Stand<W>, [fromS, toS]: Span): number {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]
  const note = (world: W): number => {
    const value = stand.trueValue(world)
    low = Math.min(low, value)
    high = Math.max(high, value)
    return 0
  }
  meanOver(stand, note, { fromS, toS, stepS: stand.stepS })
  return high - low
}

/** From the first, until somebody finds it: 30–70 % of the scene. A third come in with a new probe instead. */
function fromTheFirst(chance: Chance, durationS: number): Span {
  const lengthS = durationS * chance.between(0.3, 0.7)
  return chance.often(0.7) ? [0, lengthS] : [durationS - lengthS, durationS]
}

/** Falls when heated. A lie at once, whatever the number; the scene must heat or cool by 15 °C while it lasts. */
export const reversed: Break = (chance, stand) => {
  const type = stand.type!
  const span = fromTheFirst(chance, stand.durationS)
  if (rangeOver(stand, span) < 15) return undefined
  const liar = stand.liar({
    type,
    reads: (hotC, coldC, tS) => (tS >= span[0] && tS <= span[1] ? reversedC(type, hotC, coldC) : hotC),
  })
  return stand.plan([liar, ...stand.company()], [{ kind: 'reversed', instrument: liar.is.id, span }])
}

/** Which types are met in one cupboard: built in, set. */
const mistakes: readonly (readonly [built: KnownType, set: KnownType])[] = [
  ['K', 'J'],
  ['K', 'N'],
  ['K', 'T'],
  ['K', 'E'],
  ['J', 'K'],
  ['N', 'K'],
  ['T', 'K'],
  ['E', 'K'],
  ['S', 'R'],
  ['R', 'S'],
  ['S', 'K'],
  ['K', 'S'],
]

/**
 * Off by a share that grows with the temperature. A lie from 3 °C on a pot on (K taken for T is off by 4 %), from
 * 2.5 % of the temperature in a kiln: three times what class 2 allows.
 */
export const wrongType: Break = (chance, stand) => {
  const span: Span = chance.often(0.85)
    ? [0, stand.durationS * chance.between(0.3, 0.7)]
    : fromTheFirst(chance, stand.durationS)
  const kiln = stand.scale > 1
  // What a hot kiln would drive beyond the scale looks like an open input, not like a wrong type.
  const onScale = ([built, set]: readonly [KnownType, KnownType]): boolean =>
    !kiln || (built !== 'T' && set !== 'T' && mistakenC(built, set, 930, 25) < scaleEndsC[set][1] - 20)
  const [built, set] = chance.pick(mistakes.filter(onScale))
  const reads = (hotC: number, coldC: number): number => mistakenC(built, set, hotC, coldC)
  const off = (world: Parameters<typeof stand.trueValue>[0]): number =>
    Math.abs(reads(stand.trueValue(world), 25) - stand.trueValue(world))
  const size = meanOver(stand, off, { fromS: span[0], toS: span[1], stepS: stand.stepS })
  const mean = meanOver(stand, stand.trueValue, { fromS: span[0], toS: span[1], stepS: stand.stepS })
  if (size < (kiln ? Math.max(5, 0.025 * mean) : 3) || rangeOver(stand, span) < 12) return undefined
  const liar = stand.liar({
    type: set,
    reads: (hotC, coldC, tS) => (tS >= span[0] && tS <= span[1] ? reads(hotC, coldC) : hotC),
  })
  if (size < 2.5 * Math.abs(liar.voices[0]!.make.offset)) return undefined
  return stand.plan([liar, ...stand.company()], [{ kind: 'wrong-type', instrument: liar.is.id, span }])
}

/**
 * Pinned at an end of the scale or at a code; sometimes a loose contact comes back for moments; or it is not heard
 * of at all while its neighbours speak. A lie at once.
 */
export const openCircuit: Break = (chance, stand) => {
  const span = partOf(chance, stand.durationS)
  const ends = stand.type ? scaleEndsC[stand.type] : undefined
  const high = ends ? ends[1] : stand.scale < 1 ? 125 : chance.pick([500, 550])
  const value = chance.pick([high, high, high, ends ? ends[0] : -40, ...(ends ? [32_767, 999.9, -127] : [])])
  if (stand.type && chance.often(0.12)) {
    const mute: Gauge<never> = { ...stand.liar({}), silent: (tS) => tS >= span[0] && tS <= span[1] }
    return stand.plan([mute, ...stand.company()], [{ kind: 'open-circuit', instrument: mute.is.id, span }])
  }
  const contact = chance.often(0.7) ? 0 : chance.between(0.005, 0.05)
  const fault: Fault = { kind: 'pinned', fromS: span[0], toS: span[1], value, contact }
  const liar = stand.liar({ fault: () => fault })
  return stand.plan([liar, ...stand.company()], [{ kind: 'open-circuit', instrument: liar.is.id, span }])
}

/**
 * Frozen digit for digit, which hides whatever happens. A lie once the truth has moved by 5 °C on a pot, 25 °C in a
 * kiln or 6 % in a room, and by six of its steps: before that an honest one may stand still as well.
 */
export const stuck: Break = (chance, stand) => {
  const span = partOf(chance, stand.durationS)
  const liar = stand.liar({ fault: () => ({ kind: 'stuck', fromS: span[0], toS: span[1] }) })
  const step = liar.voices[liar.voices.length - 1]!.make.step
  if (rangeOver(stand, span) < Math.max(stand.movesLeast, 6 * step)) return undefined
  return stand.plan([liar, ...stand.company()], [{ kind: 'stuck', instrument: liar.is.id, span }])
}

/** Noise of several steps, so that its absence can be seen at all. */
function noisy(chance: Chance, { scale }: { scale: number }): { noise: number; step: number; wander: number } {
  const noise = scale * chance.scaled(0.2, 0.9)
  return { noise, step: chance.pick([0.01, 0.0625, 0.1].filter((fine) => noise >= 2.5 * fine)), wander: 0 }
}

/**
 * Less than a sixth of its noise is left, and it follows more slowly: a filter, or a value that somebody computes. A
 * lie at that size because noise of sound inputs varies by two or three times, not by six.
 */
export const noiseVanished: Break = (chance, stand) => {
  const span = partOf(chance, stand.durationS)
  const make = noisy(chance, stand)
  const smoothS = Math.max(4 * stand.intervalS, chance.scaled(20, 240))
  const fault: Fault = { kind: 'noise-vanished', fromS: span[0], toS: span[1], left: chance.between(0, 0.16), smoothS }
  const liar = stand.liar({ fault: () => fault, make })
  if ((span[1] - span[0]) / stand.intervalS < 60) return undefined
  return stand.plan([liar, ...stand.company()], [{ kind: 'noise-vanished', instrument: liar.is.id, span }])
}

/**
 * At least six times its noise, and 0.7 °C on a pot, 2.8 in a kiln, 0.2 in a room; some of it spikes: a contact that
 * works loose, mains in the leads. Less is a draught or a flame.
 */
export const noiseExploded: Break = (chance, stand) => {
  const span = partOf(chance, stand.durationS)
  const { scale } = stand
  const noise = scale * chance.scaled(0.03, 0.25)
  const fault: Fault = {
    kind: 'noise-exploded',
    fromS: span[0],
    toS: span[1],
    times: chance.scaled(6, (12 * scale) / noise),
    spikes: chance.often(0.5) ? 0 : chance.between(0.01, 0.2),
    floor: 0.7 * scale,
  }
  const step = chance.pick(scale < 1 ? [0.01, 0.1] : [0.1, 0.1, 0.25])
  const liar = stand.liar({ fault: () => fault, make: { noise, wander: 0, step } })
  if ((span[1] - span[0]) / stand.intervalS < 60) return undefined
  return stand.plan([liar, ...stand.company()], [{ kind: 'noise-exploded', instrument: liar.is.id, span }])
}

/**
 * A clock that is off by a constant after a restart, or runs fast or slow. A lie from 90 s, four intervals, three
 * lags and four honest delays on, whichever is most: less cannot be told from a slow tip or from heat that takes its
 * time, and misplaces no event by more than people notice. Which of two clocks is wrong two alone cannot tell.
 */
export const clockApart: Break = (chance, stand) => {
  const liar = stand.liar({})
  const company = stand.company()
  const lagS = Math.max(...[liar, ...company].map(({ voices }) => Math.min(...voices.map(({ make }) => make.lagS))))
  const least = Math.max(90, 4 * stand.intervalS, 3 * lagS, 4 * stand.delayS)
  const clock = chance.often(0.6) ? setWrong(chance, stand.durationS, least) : runsWrong(chance, stand.durationS, least)
  if (clock === undefined || rangeOver(stand, clock.span) < 2 * stand.movesLeast) return undefined
  const { span, offS, silent } = clock
  const apart: Gauge<never> = {
    ...liar,
    clockS: offS,
    silent: (tS) => silent(tS) || (liar.silent?.(tS) ?? false),
  }
  const or = company.length === 1 ? { or: company[0]!.is.id } : {}
  return stand.plan([apart, ...company], [{ kind: 'clock-apart', instrument: liar.is.id, span, ...or }])
}

interface Clockwork {
  span: Span
  offS(tS: number): number
  silent(tS: number): boolean
}

/** It is off while it restarts, so that its own time never runs backwards. */
function setWrong(chance: Chance, durationS: number, least: number): Clockwork | undefined {
  const most = Math.min(7_200, durationS / 8)
  if (least > most) return undefined
  const off = chance.scaled(least, most) * (chance.often(0.5) ? 1 : -1)
  const [fromS, toS] = partOf(chance, durationS)
  const before = off < 0 && fromS > 0 ? fromS + off - 60 : fromS
  const after = off > 0 ? toS + off + 60 : toS
  return {
    span: [fromS, toS],
    offS: (tS) => (tS >= fromS && tS <= toS ? off : 0),
    silent: (tS) => (tS > before && tS < fromS) || (tS > toS && tS < after),
  }
}

/** Until the end of the scene. */
function runsWrong(chance: Chance, durationS: number, least: number): Clockwork | undefined {
  const share = chance.between(0.3, 0.7)
  const beganS = chance.between(0, 0.25) * durationS
  const toldS = durationS * (1 - share)
  const rate = (least / (toldS - beganS)) * (chance.often(0.5) ? 1 : -1)
  if (Math.abs(rate) > 0.05 || toldS - beganS < 1_800) return undefined
  return { span: [toldS, durationS], offS: (tS) => Math.max(0, tS - beganS) * rate, silent: () => false }
}
