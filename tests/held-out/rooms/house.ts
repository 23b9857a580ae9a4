/** What a house has for a night: its walls and its machines. */
import type { Chance } from '../lies/chance.ts'
import { dewC, ratioOf, saturationPa } from './air.ts'
import { type HallSpec, hallOf, type Season, type Weather, weatherOf } from './outdoors.ts'
import type { Kind } from './scene.ts'

export interface Switched {
  /** W of heat moved at full power; 0: there is none. */
  watts: number
  /** Of the room, °C. */
  setC: number
  bandK: number
  proportional: boolean
  /** How slowly its output follows. */
  lagS: number
  leastS: number
}

export interface House {
  season: Season
  pressurePa: number
  /** °C and percent that the room is set to. */
  setC: number
  humidity: number
  volumes: [number, number]
  wallM2: number
  lightJ: number
  heavyJ: number
  lightHeavyW: number
  outW: number
  hallW: number
  /** kg of water that walls and boards take up from dry to damp, and in what time. */
  bufferKg: number
  bufferS: number
  /** m³/s through cracks: from outside in a light wind, and from the hall. */
  leakOut: number
  leakHall: number
  door: { width: number; height: number; draughtMS: number }
  fan: {
    watts: number
    units: number
    amperes: number
    mixKgPerS: number
    stillKgPerS: number
    blown: number
    still: number
    timed: boolean
    onS: number
    offS: number
  }
  cooling: Switched & { coilC: number; flowKgPerS: number }
  heating: Switched
  dehumidifier: {
    has: boolean
    dry: boolean
    watts: number
    flowKgPerS: number
    dropK: number
    bandPercent: number
    lagS: number
    runsS: number
    thawsS: number
    leastS: number
    zone: 0 | 1
  }
  thermostat: { zone: 0 | 1; lagS: number; wall: number }
  weather: Weather
  hall: HallSpec
}

const positive = (v: number) => Math.max(0, v)

export function houseOf(c: Chance, kind: Kind, season: Season, from: number): House {
  const pressurePa = c.often(0.8) ? c.between(96_000, 102_400) : c.between(82_000, 96_000)
  const setC = c.between(19, 25)
  const humidity = c.between(38, 62)
  const volume = c.scaled(30, 240)
  const split = c.between(0.35, 0.65)
  const wallM2 = 6 * volume ** (2 / 3)
  const outW = wallM2 * c.between(0.15, 0.75) * c.scaled(0.2, 1)
  const hallW = wallM2 * c.between(0.15, 0.5) * c.scaled(0.4, 1.6)
  const weather = weatherOf(c, season, from)
  const { meanC, swingC } = weather
  const hall = hallOf(c, season, meanC, pressurePa)
  const { usualC } = hall
  const fanWatts = c.scaled(60, 450) * (volume / 80) ** 0.4
  const isDry = c.often(0.2)
  const hasDehumidifier = kind === 'dehumidifier' || c.often(0.92)
  const dehumidifierWatts = c.scaled(280, 900) * (volume / 80) ** 0.3
  const setPa = (humidity / 100) * saturationPa(setC)
  const dropK = setC - dewC(setPa) + c.between(4, 9)
  const kgPerS = (c.scaled(0.35, 1.7) * (volume / 80) ** 0.45) / 3_600
  const lift = isDry
    ? ratioOf(setPa, pressurePa)
    : ratioOf(setPa, pressurePa) - ratioOf(saturationPa(setC - dropK), pressurePa)
  const gains = fanWatts + (hasDehumidifier ? 0.6 * dehumidifierWatts : 0)
  const heat = (has: boolean, loadW: number, least: number, towardsK: number, slow: boolean): Switched => ({
    watts: has ? Math.max(least, loadW * c.between(1.25, 2.5)) : 0,
    setC: setC + towardsK,
    bandK: c.between(0.3, 1.4),
    proportional: c.often(0.4),
    lagS: slow ? c.scaled(20, 1_000) : c.scaled(30, 180),
    leastS: slow ? c.between(0, 180) : c.between(120, 420),
  })
  const hasCooling = kind === 'cooling' || c.often({ cold: 0.35, mild: 0.7, warm: 0.95 }[season])
  const hasHeating = kind === 'heating' || c.often({ cold: 0.98, mild: 0.93, warm: 0.4 }[season])
  const coolLoad = gains + outW * positive(meanC + swingC + 3 - setC) + hallW * positive(usualC + 2 - setC)
  const heatLoad = outW * positive(setC - meanC + swingC + 2) + hallW * positive(setC - usualC + 2) - 0.3 * gains
  return {
    season,
    pressurePa,
    setC,
    humidity,
    volumes: [volume * split, volume * (1 - split)],
    wallM2,
    lightJ: wallM2 * c.scaled(6_000, 16_000),
    heavyJ: wallM2 * c.scaled(25_000, 160_000),
    lightHeavyW: wallM2 * c.between(3, 9),
    outW,
    hallW,
    bufferKg: wallM2 * c.scaled(0.008, 0.06),
    bufferS: c.scaled(2_400, 14_000),
    leakOut: (volume * c.scaled(0.02, 0.3)) / 3_600,
    leakHall: (volume * c.scaled(0.03, 0.4)) / 3_600,
    door: {
      width: c.pick([0.9, 1, 1.2, 1.6]),
      height: c.between(2, 2.4),
      draughtMS: c.scaled(0.015, 0.08) * (c.often(0.25) ? 0.35 : 1),
    },
    fan: {
      watts: fanWatts,
      units: c.whole(1, 4),
      amperes: (fanWatts / 230) * c.between(1.2, 1.7),
      mixKgPerS: (volume / 80) * c.scaled(0.3, 1.6),
      stillKgPerS: (volume / 80) * c.scaled(0.02, 0.07),
      blown: c.between(6, 16),
      still: c.between(2, 3.5),
      timed: c.often(0.1),
      onS: c.between(600, 1_800),
      offS: c.between(200, 900),
    },
    cooling: {
      ...heat(hasCooling, coolLoad, 700, c.between(0.2, 0.9), false),
      coilC: c.between(6, 13),
      flowKgPerS: c.between(0.08, 0.3),
    },
    heating: heat(hasHeating, heatLoad, 500, -c.between(0.2, 0.9), true),
    dehumidifier: {
      has: hasDehumidifier,
      dry: isDry,
      watts: dehumidifierWatts,
      flowKgPerS: kgPerS / lift,
      dropK,
      bandPercent: c.between(1.5, 6),
      lagS: c.scaled(40, 300),
      runsS: isDry || c.often(0.3) ? Number.POSITIVE_INFINITY : c.between(1_500, 4_200),
      thawsS: c.between(240, 720),
      leastS: c.between(60, 300),
      zone: c.often(0.6) ? 1 : 0,
    },
    thermostat: { zone: c.often(0.5) ? 1 : 0, lagS: c.scaled(40, 300), wall: c.between(0.05, 0.35) },
    weather,
    hall,
  }
}
