/** A kiln between its burnouts: air and wall as two lumps, with dryings at low heat, short test firings, open doors and a yard with seasons. */
import type { Chance } from '../lies/chance.ts'

const minute = 60
const hour = 3_600
const day = 24 * hour
const partS = 10

export interface Idle {
  /** How fast the air takes on the wall's temperature, and the wall the air's and the yard's, s. */
  airS: number
  wallS: number
  yardS: number
  /** Full power lifts the air above its wall by so much in the end, °C. */
  fullC: number
  yardMeanC: number
  seasonC: number
  dayC: number
}

export function idleOf(c: Chance): Idle {
  return {
    airS: c.between(3, 9) * minute,
    wallS: c.between(1.5, 5) * hour,
    yardS: c.between(6, 20) * hour,
    fullC: c.between(120, 420),
    yardMeanC: c.between(8, 18),
    seasonC: c.between(5, 12),
    dayC: c.between(2, 7),
  }
}

export function yardC(idle: Idle, s: number): number {
  const season = idle.seasonC * Math.cos((2 * Math.PI * (s / day - 200)) / 365)
  return idle.yardMeanC + season + idle.dayC * Math.cos((2 * Math.PI * (s - 15 * hour)) / day)
}

/** What somebody does with an idle kiln, s since the year began. */
export interface Use {
  what: 'drying' | 'test' | 'door'
  from: number
  to: number
  /** Of a drying: what its controller holds. */
  setC: number
}

export function usesOf(c: Chance): Use[] {
  const many = (count: number, of: () => Use) => Array.from({ length: count }, of)
  const at = () => c.between(0, 364 * day)
  const lasting = (what: Use['what'], shortS: number, longS: number, setC = 0): Use => {
    const from = at()
    return { what, from, to: from + c.between(shortS, longS), setC }
  }
  return [
    ...many(c.whole(20, 60), () => lasting('drying', 2 * hour, 16 * hour, c.between(60, 120))),
    ...many(c.whole(6, 16), () => lasting('test', 8 * minute, 20 * minute)),
    ...many(c.whole(20, 60), () => lasting('door', 2 * minute, 2 * hour)),
  ].sort((a, b) => a.from - b.from)
}

export class IdleKiln {
  readonly idle: Idle
  airC: number
  wallC: number
  #integral = 0

  constructor(idle: Idle, airC: number) {
    this.idle = idle
    this.airC = airC
    this.wallC = airC
  }

  /** Hot from a burnout: its wall a little cooler than its air. */
  afterBurnout(airC: number): void {
    this.airC = airC
    this.wallC = 0.93 * airC
  }

  /** Moves on to `toS`, with whatever of these is going on; the mains may be out. */
  step(fromS: number, toS: number, uses: readonly Use[], mains: boolean): void {
    const { idle } = this
    for (let s = fromS; s < toS; s += partS) {
      const going = uses.filter((u) => s >= u.from && s < u.to)
      const drying = going.find((u) => u.what === 'drying')
      const isOpen = going.some((u) => u.what === 'door')
      let duty = going.some((u) => u.what === 'test') ? 1 : 0
      if (drying) {
        const error = drying.setC - this.airC
        this.#integral = Math.max(0, Math.min(1, this.#integral + (error * partS) / 40_000))
        duty = Math.max(0, Math.min(1, error / 40 + this.#integral))
      } else this.#integral = 0
      const yard = yardC(idle, s)
      const heat = mains ? (duty * idle.fullC) / idle.airS : 0
      const open = isOpen ? (yard - this.airC) / 90 : 0
      this.airC += (heat + (this.wallC - this.airC) / idle.airS + open) * partS
      this.wallC += ((this.airC - this.wallC) / idle.wallS + (yard - this.wallC) / idle.yardS) * partS
    }
  }
}
