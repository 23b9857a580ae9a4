/** Sets up a kiln for a scene: its size and controller, a series of firings, and sound probes in it. */
import type { ThermocoupleType } from '../../../shared/contract/instrument.ts'
import type { Chance } from './chance.ts'
import { someMorning, steps, within, workshopC } from './course.ts'
import type { Kiln, KilnDays, KilnMake } from './kiln.ts'
import { manners } from './pot-bench.ts'
import { type Fault, type SensorMake, soundSensor } from './sensor.ts'
import type { Gauge } from './stage.ts'

export type FiringShape = 'mould' | 'flash' | 'rest' | 'preheat'

export interface Firing {
  fromS: number
  /** Programme over, switched off. */
  offS: number
  /** Cold enough to be emptied. */
  toS: number
}

export interface Fires {
  class: string
  make: KilnMake
  days: KilnDays
  firings: readonly Firing[]
  startMs: number
  durationS: number
  intervalS: number
  stepS: number
}

/** Three kilns in seven burn gas. */
export const isGas = (turn: number): boolean => turn % 7 < 3

type Leg = readonly [cPerHour: number, toC: number, holdH: number]

/** Burnouts as foundries write them, each a little different from house to house. */
function legs(chance: Chance, shape: FiringShape): Leg[] {
  const some = (from: number, to: number): number => chance.between(from, to)
  switch (shape) {
    case 'mould':
      return [
        [some(35, 90), some(140, 175), some(1, 4)],
        [some(25, 70), some(250, 290), some(0.5, 3)],
        [some(50, 110), some(520, 560), some(0.3, 2)],
        [some(40, 90), some(690, 740), some(2, 5)],
        [-some(40, 80), some(430, 560), some(0.5, 4)],
      ]
    case 'flash':
      return [
        [some(250, 420), some(840, 930), some(1.5, 4)],
        ...(chance.often(0.4) ? [[-200, some(560, 700), some(0.5, 3)] as Leg] : []),
      ]
    case 'rest':
      return [
        [some(80, 220), some(320, 500), some(8, 26)],
        [some(60, 150), some(680, 760), some(1, 3)],
        [-some(60, 150), some(330, 480), some(3, 12)],
      ]
    case 'preheat':
      return [[some(120, 300), some(590, 880), some(1.5, 4)]]
  }
}

/** Set-points a quarter of an hour apart are near enough to a line. */
function programme(
  chance: Chance,
  shape: FiringShape,
  fromS: number,
  startC: number,
): { at: [number, number][]; offS: number } {
  const at: [number, number][] = []
  let [tS, nowC] = [fromS, startC]
  for (const [cPerHour, toC, holdH] of legs(chance, shape)) {
    const rampS = (Math.abs(toC - nowC) / Math.abs(cPerHour)) * 3_600
    for (let s = 0; s < rampS; s += 180) at.push([tS + s, nowC + ((toC - nowC) * s) / rampS])
    at.push([tS + rampS, toC])
    tS += rampS + holdH * 3_600
    nowC = toC
  }
  return { at, offS: tS }
}

export function fires(
  chance: Chance,
  wish: {
    firings: readonly [number, number]
    shapes: readonly FiringShape[]
    sameShape?: number
    intervalsS?: readonly number[]
    pauseH?: readonly [number, number]
    gas: boolean
  },
): Fires {
  const { gas } = wish
  const wallM2 = chance.scaled(1.5, 14)
  const startMs = someMorning(chance)
  const ambientC = workshopC(chance, startMs)
  const count = chance.whole(...wish.firings)
  const usual = chance.pick(wish.shapes)
  const setAt: [number, number | undefined][] = []
  const doors: [number, number][] = []
  const loads: [number, { which: number; water: number }][] = []
  const firings: Firing[] = []
  let tS = chance.between(600, 3_600)
  for (let i = 0; i < count; i++) {
    const shape = chance.often(wish.sameShape ?? 0.7) ? usual : chance.pick(wish.shapes)
    const { at, offS } = programme(chance, shape, tS, ambientC(tS))
    setAt.push(...at, [offS, undefined])
    const water = shape === 'mould' || shape === 'rest' ? chance.between(0, 0.12) : chance.between(0, 0.01)
    // A flash kiln is loaded hot: the door is open for minutes, and the air reading crashes.
    const hotS = shape === 'flash' ? hottestFrom(at) + chance.between(900, 3_000) : undefined
    loads.push([hotS ?? tS, { which: i, water }])
    if (hotS !== undefined) doors.push([hotS - 60, hotS + chance.between(60, 240)])
    if (chance.often(0.3)) peek(chance, doors, (hotS ?? tS) + 2_000, offS)
    const crackS = offS + chance.between(2, 9) * 3_600
    const toS = crackS + chance.between(3, 8) * 3_600
    doors.push([crackS, toS])
    firings.push({ fromS: tS, offS, toS })
    tS = toS + chance.between(...(wish.pauseH ?? [2, 30])) * 3_600
  }
  const intervalS = chance.pick(wish.intervalsS ?? [30, 60])
  return {
    class: gas ? 'kiln gas' : 'kiln electric',
    make: kilnMake(chance, gas, wallM2, usual),
    days: {
      ambientC,
      setC: steps(setAt, undefined),
      door: openness(doors, firings),
      load: steps(loads, { which: -1, water: 0 }),
    },
    firings,
    startMs,
    durationS: Math.round(firings[count - 1]!.toS),
    intervalS,
    stepS: Math.min(30, intervalS),
  }
}

function hottestFrom(at: readonly [number, number][]): number {
  const most = Math.max(...at.map(([, c]) => c))
  return at.find(([, c]) => c === most)![0]
}

/** Somebody looks in. */
function peek(chance: Chance, doors: [number, number][], fromS: number, toS: number): void {
  const tS = fromS + chance.between(0.2, 0.8) * (toS - fromS)
  const last = doors[doors.length - 1]
  if (tS < toS - 600 && (last === undefined || last[1] < tS)) doors.push([tS, tS + chance.between(10, 60)])
}

/** Wide open to load, ajar to cool. */
function openness(doors: readonly [number, number][], firings: readonly Firing[]): (tS: number) => number {
  const open = within(doors)
  const cooling = within(firings.map(({ offS, toS }) => [offS, toS] as const))
  return (tS) => (open(tS) ? (cooling(tS) ? 0.15 : 1) : 0)
}

function kilnMake(chance: Chance, gas: boolean, wallM2: number, usual: FiringShape): KilnMake {
  return {
    gas,
    wallM2,
    powerW: wallM2 * chance.between(gas ? 11_000 : 9_000, gas ? 18_000 : 14_000),
    loadM2: wallM2 * chance.between(0.2, 0.6),
    loadM: usual === 'mould' || usual === 'rest' ? chance.scaled(0.05, 0.14) : chance.scaled(0.01, 0.03),
    standingC: chance.near(2.5, 5),
    firingC: chance.near(3.5, 8),
    flickerC: gas ? chance.scaled(0.8, 3) : chance.scaled(0.05, 0.5),
    pid: {
      band: gas ? chance.scaled(160, 380) : chance.scaled(60, 220),
      integralS: chance.scaled(500, 3_000),
      derivativeS: chance.between(0, 30),
    },
  }
}

export type Spot = 'A' | 'B' | 'load'

/** A sound probe. IEC 60584 class 2 is ±0.75 % from 333 °C on; the honest share stays within it. */
export function kilnProbe(
  chance: Chance,
  { intervalS, firings }: Fires,
  spot: Spot,
  change: {
    sees?: (kiln: Kiln, tS: number) => number
    fault?: Fault
    make?: Partial<SensorMake>
    type?: ThermocoupleType
    silentInPauses?: boolean
    most?: { gain?: number; offset?: number }
  } = {},
): Gauge<Kiln> {
  const firing = within(firings.map(({ fromS, toS }) => [fromS - 300, toS] as const))
  const make = soundSensor(chance, {
    lagS: 70,
    noise: 1,
    offset: 1.2,
    gain: 0.006,
    step: chance.pick([0.1, 0.1, 0.25, 0.5, 1, 1]),
    ...change.most,
  })
  return {
    is: {
      id: spot === 'load' ? 'tc-load' : `tc-${spot.toLowerCase()}`,
      kind: 'thermocouple',
      place: spot === 'load' ? 'kiln-load' : 'kiln-air',
      thermocouple: change.type ?? chance.pick(['N', 'N', 'S', 'R', 'K'] as const),
      intervalMs: intervalS * 1_000,
    },
    voices: [
      {
        quantity: 'temperature',
        sees: change.sees ?? airOf(spot),
        make: { ...make, ...change.make },
        ...(change.fault ? { fault: change.fault } : {}),
      },
    ],
    ...manners(chance),
    ...(change.silentInPauses ? { silent: (tS: number) => !firing(tS) } : {}),
  }
}

export const airOf =
  (spot: Spot) =>
  (kiln: Kiln): number =>
    spot === 'A' ? kiln.airA : spot === 'B' ? kiln.airB : kiln.loadC
