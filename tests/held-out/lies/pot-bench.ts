/** Sets up a pot for a scene: wax, size, regulator, what is done to it, and sound instruments on it. */
import type { ThermocoupleType } from '../../../shared/contract/instrument.ts'
import type { Chance } from './chance.ts'
import { type Span, onSteps, someMorning, steps, within, workshopC } from './course.ts'
import { type Optics, type Pot, type PotDay, type PotMake, infraredC, widthM } from './pot.ts'
import type { SceneInstrument } from './shape.ts'
import { type Fault, type SensorMake, soundSensor } from './sensor.ts'
import type { Gauge } from './stage.ts'

export interface Bench {
  class: string
  make: PotMake
  day: PotDay
  startMs: number
  durationS: number
  intervalS: number
  stepS: number
  lids: readonly Span[]
}

export interface Wish {
  /** cold: solid through; warm: just molten; hot: at its first set-point. */
  start: 'cold' | 'warm' | 'hot'
  vigour: readonly [number, number]
  skinFilm: readonly [number, number]
  hours?: readonly [number, number]
  /** Heated from where: share into the floor. */
  floorShare?: readonly [number, number]
  regulator?: 'switch' | 'pid'
  /** A stirrer that runs all the time, or what people do. */
  stir(chance: Chance, durationS: number): { spans: Span[]; strength: number }
  lids?(chance: Chance, durationS: number): Span[]
  topUps?: boolean
  /** The lowest set-point, °C above where the wax is molten; default 5. */
  lowestAbove?: number
}

export const livelyWax = { vigour: [0.5, 1.5], skinFilm: [600, 1_100] } as const

const notStirred = (): { spans: Span[]; strength: number } => ({ spans: [], strength: 0 })
/** A stirrer that always runs, or wax so thin that nobody need stir. */
export const evenly = (chance: Chance, durationS: number): { spans: Span[]; strength: number } =>
  chance.often(0.6) ? { spans: [[0, durationS]], strength: chance.between(0.15, 0.8) } : notStirred()

export function potClass(kg: number): string {
  return kg < 3 ? 'pot under 3 kg' : kg <= 15 ? 'pot 3-15 kg' : 'pot over 15 kg'
}

/** Sizes take turns, so that each class has its share. */
export const kgOf = (turn: number): readonly [number, number] =>
  (
    [
      [0.8, 3],
      [3, 15],
      [15, 60],
    ] as const
  )[turn % 3]!

export function potMake(chance: Chance, wish: Wish, turn: number): PotMake {
  const kg = chance.scaled(...kgOf(turn))
  const powerW = 600 * (kg / 6) ** 0.72 * chance.scaled(0.75, 1.5)
  const meltsFromC = chance.between(46, 56)
  const regulator = wish.regulator ?? chance.pick(['switch', 'pid'] as const)
  return {
    kg,
    aspect: chance.scaled(0.5, 1.1),
    layers: chance.whole(6, 10),
    powerW,
    floorShare: chance.between(...(wish.floorShare ?? [0.3, 0.8])),
    vigour: chance.scaled(...wish.vigour),
    skinFilm: chance.scaled(...wish.skinFilm),
    meltsFromC,
    meltsToC: meltsFromC + chance.between(5, 14),
    lossFilm: chance.between(2.5, 5.5) * (6 / kg) ** 0.25,
    control:
      regulator === 'switch'
        ? { kind: 'switch', bandC: chance.scaled(2, 9) }
        : { kind: 'pid', wattsPerC: (powerW / 100) * chance.scaled(2, 14), integralS: chance.scaled(400, 3_000) },
    feelerOffC: chance.near(2, 5),
  }
}

/** Heat up, work down the coats, warm up again, sometimes off for a while. */
export function setPoints(
  chance: Chance,
  make: PotMake,
  durationS: number,
  lowestAbove: number,
): [number, number | undefined][] {
  const lowest = make.meltsToC + lowestAbove
  const pace = (make.kg / 6) ** 0.3
  const at: [number, number | undefined][] = []
  let tS = 0
  let setC = make.meltsToC + chance.between(30, 62)
  while (tS < durationS) {
    at.push([tS, chance.often(0.1) && tS > 0 ? undefined : setC])
    tS += chance.scaled(0.35, 1.3) * 3_600 * pace
    const up = setC < lowest + 14 || chance.often(0.3)
    setC = Math.min(150, Math.max(lowest, setC + (up ? chance.between(8, 26) : -chance.between(6, 18))))
  }
  return at
}

export function bench(chance: Chance, wish: Wish, turn: number): Bench {
  const make = potMake(chance, wish, turn)
  const startMs = someMorning(chance)
  const hours = wish.hours ?? (make.kg < 3 ? [2, 6] : make.kg <= 15 ? [3, 9] : [5, 12])
  const durationS = Math.round(chance.between(...hours) * 360) * 10
  const ambientC = workshopC(chance, startMs)
  const at = setPoints(chance, make, durationS, wish.lowestAbove ?? 5)
  const { spans, strength } = wish.stir(chance, durationS)
  const stirred = within(spans)
  const startC = { cold: ambientC(0), warm: make.meltsToC + chance.between(3, 12), hot: at[0]![1] ?? 90 }[wish.start]
  const intervalS = chance.pick([1, 2, 5, 5, 10, 10, 15, 20, 30, 60])
  const stepS = Math.min(5, intervalS)
  const lids = onSteps(wish.lids?.(chance, durationS) ?? [], stepS)
  const topUps = wish.topUps ? coldWax(chance, make.kg, durationS) : []
  return {
    class: potClass(make.kg),
    make,
    startMs,
    durationS,
    intervalS,
    stepS,
    lids,
    day: {
      startC,
      ambientC,
      setC: steps(at, undefined),
      lid: within(lids),
      stir: (tS) => (stirred(tS) ? strength : 0),
      topUp: steps(topUps, 0),
    },
  }
}

/** A few per cent of the pot at a time, over some minutes. */
export function coldWax(chance: Chance, kg: number, durationS: number): [number, number][] {
  const at: [number, number][] = []
  let tS = chance.between(0.1, 0.5) * durationS
  while (tS < durationS) {
    const lastsS = chance.between(60, 400)
    at.push([tS, (kg * chance.between(0.03, 0.1)) / lastsS], [tS + lastsS, 0])
    tS += lastsS + chance.between(0.2, 0.6) * durationS
  }
  return at
}

export const depths = { 'wax-bottom': 0.12, 'wax-middle': 0.5, 'wax-top': 0.84 } as const
export type Depth = keyof typeof depths

/** A sound probe in the wax. `sees` may be put in place of what it should see. */
export function probe(
  chance: Chance,
  { intervalS }: Bench,
  place: Depth,
  change: {
    id?: string
    sees?: (pot: Pot, tS: number) => number
    fault?: Fault
    make?: Partial<SensorMake>
    type?: ThermocoupleType
    most?: { offset?: number; noise?: number; lagS?: number }
  } = {},
): Gauge<Pot> {
  const level = depths[place] + chance.near(0.03, 0.06)
  const inRing = chance.often(0.25)
  const is: SceneInstrument = {
    id: change.id ?? `tc-${place.slice(4)}`,
    kind: 'thermocouple',
    place,
    thermocouple: change.type ?? chance.pick(['K', 'K', 'K', 'T', 'J', 'N'] as const),
    intervalMs: intervalS * 1_000,
  }
  const make = soundSensor(chance, { lagS: 24, noise: 0.35, offset: 1.2, gain: 0.004, ...change.most })
  return {
    is,
    voices: [
      {
        quantity: 'temperature',
        sees: change.sees ?? ((pot) => pot.waxC(level, inRing)),
        make: { ...make, ...change.make },
        ...(change.fault ? { fault: change.fault } : {}),
      },
    ],
    ...manners(chance),
  }
}

/** Most speak evenly; some do not, and some are lost on the way. */
export function manners(chance: Chance): { jitter: number; missing: number } {
  return {
    jitter: chance.often(0.5) ? 0.02 : chance.between(0.05, 0.45),
    missing: chance.often(0.5) ? 0 : chance.scaled(0.0005, 0.04),
  }
}

export const hundredth = (value: number): number => Math.round(value * 100) / 100

export function soundOptics(chance: Chance, ambientC: number): Optics {
  const setEmissivity = chance.often(0.75) ? 0.95 : hundredth(chance.between(0.9, 0.97))
  return {
    setEmissivity,
    compensatedC: chance.often(0.6) ? 23 : Math.round(ambientC),
    emissivity: Math.min(0.98, setEmissivity + chance.near(0.005, 0.01)),
    lidEmissivity: chance.between(0.6, 0.95),
    onWax: 1,
    rimShare: 0.5,
    rimEmissivity: 0.2,
    clear: 1,
    betweenC: 30,
  }
}

/** An infrared thermometer over the pot, sound unless `sight` says otherwise for a moment. */
export function gun(
  chance: Chance,
  { intervalS, day, make }: Bench,
  change: {
    optics?: Optics
    sight?: (sound: Optics, pot: Pot, tS: number) => Optics
    known?: Partial<NonNullable<SceneInstrument['infrared']>>
    fault?: Fault
    most?: { offset?: number; noise?: number; step?: number }
  } = {},
): Gauge<Pot> {
  const sound = change.optics ?? soundOptics(chance, day.ambientC(0))
  const targetMm = Math.round(1_000 * widthM(make))
  const spot = chance.often(0.6)
    ? { spotMm: Math.max(1, Math.round(targetMm * chance.between(0.1, 0.5))), targetMm }
    : {}
  const sees = (pot: Pot, tS: number): number => infraredC(pot, change.sight ? change.sight(sound, pot, tS) : sound)
  const most = { lagS: 1, noise: 0.4, offset: 0.7, gain: 0.004, ...change.most }
  return {
    is: {
      id: 'ir',
      kind: 'infrared',
      place: 'wax-surface',
      infrared: {
        setEmissivity: sound.setEmissivity,
        ...(sound.compensatedC === undefined ? {} : { compensatedC: sound.compensatedC }),
        ...(chance.often(0.5) ? { reflectedC: Math.round(day.ambientC(0)) } : {}),
        ...spot,
        ...change.known,
      },
      intervalMs: intervalS * 1_000,
    },
    voices: [
      {
        quantity: 'temperature',
        sees,
        make: soundSensor(chance, most),
        ...(change.fault ? { fault: change.fault } : {}),
      },
    ],
    ...manners(chance),
  }
}

/** What its heater draws at 230 V. */
export function heater({ intervalS }: Bench): Gauge<Pot> {
  const make: SensorMake = {
    lagS: 0,
    noise: 0.02,
    wander: 0,
    wanderS: 1,
    step: 0.1,
    offset: 0,
    gain: 0,
    driftPerMonth: 0,
  }
  return {
    is: { id: 'heater', kind: 'current', intervalMs: intervalS * 1_000 },
    voices: [{ quantity: 'current', sees: (pot) => pot.powerW / 230, make }],
    jitter: 0.02,
    missing: 0,
  }
}
