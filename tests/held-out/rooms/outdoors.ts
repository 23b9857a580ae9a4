/** What lies about a room: the weather of its night and the hall before its door. */
import type { Chance } from '../lies/chance.ts'
import { airKgPerM3 } from './air.ts'
import type { Kind } from './scene.ts'

export type Season = 'cold' | 'mild' | 'warm'

export interface Weather {
  meanC: number
  swingC: number
  dewC: number
  sunK: number
  wind: number
  fronts: { at: number; widthS: number; warmK: number; dewK: number }[]
}

export interface HallSpec {
  volume: number
  usualC: number
  heatedC: number
  setbackK: number
  heatsFrom: number
  heatsTo: number
  heatingW: number
  lossWPerK: number
  massJ: number
  renewalsPerH: number
  gateRenewalsPerH: number
  stirW: number
  kilnBurnsGas: boolean
}

/** Nothing warms a room that has no cooling in the cold, and the other way round. */
export function seasonOf(c: Chance, kind: Kind): Season {
  if (kind === 'cooling') return c.often(0.75) ? 'warm' : 'mild'
  if (kind === 'heating') return c.often(0.75) ? 'cold' : 'mild'
  return c.pick(['cold', 'mild', 'warm'] as const)
}

/** Noon of a day of that season. */
export function noonOf(c: Chance, season: Season): number {
  const month = c.pick({ cold: [0, 1, 10, 11], mild: [2, 3, 4, 8, 9], warm: [5, 6, 7] }[season])
  return Date.UTC(2026, month, c.whole(1, 28), 12)
}

/** `from`: noon. */
export function weatherOf(c: Chance, season: Season, from: number): Weather {
  const meanC = season === 'warm' ? c.between(19, 28) : season === 'mild' ? c.between(9, 18) : c.between(-7, 7)
  const swingC = c.between(1.5, season === 'cold' ? 4 : 7)
  return {
    meanC,
    swingC,
    dewC: meanC - swingC * 0.8 - c.between(-1, 7),
    sunK: c.often(0.5) ? c.between(0, 14) : 0,
    wind: c.scaled(0.5, 2.5),
    fronts: Array.from({ length: c.pick([0, 0, 1, 1, 2]) }, () => ({
      at: from + c.between(1, 19) * 3_600_000,
      widthS: c.scaled(900, 9_000),
      warmK: c.between(-6, 3),
      dewK: c.between(-5, 4.5),
    })),
  }
}

export function hallOf(c: Chance, season: Season, meanC: number, pressurePa: number): HallSpec {
  const heatedC = c.between(15, 22)
  const usualC =
    season === 'warm' ? meanC + c.between(-1, 3) : Math.max(meanC + c.between(0, 4), heatedC - c.between(0, 2))
  const volume = c.scaled(60, 900)
  return {
    volume,
    usualC,
    heatedC,
    setbackK: c.pick([0, 2, 4, 6]),
    heatsFrom: c.between(5, 7.5),
    heatsTo: c.between(16.5, 20),
    heatingW: season === 'warm' ? 0 : volume * c.between(25, 60),
    lossWPerK: volume * c.scaled(0.5, 1.8),
    massJ: volume * c.scaled(15_000, 60_000),
    renewalsPerH: c.scaled(0.2, 1.8),
    gateRenewalsPerH: c.between(5, 25),
    stirW: volume * airKgPerM3(20, pressurePa) * c.scaled(0.3, 2.5),
    kilnBurnsGas: c.often(0.5),
  }
}
