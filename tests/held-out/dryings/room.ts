/** The room of a drying: what it is set to, what happens in it, and what its air does about it. */
import type { Chance } from '../lies/chance.ts'
import { saturationPa, wetBulbC } from './air.ts'
import type { Climate } from './body.ts'
import type { Happening, Kind } from './scene.ts'

/** What a room has for all its nights. */
export interface House {
  pressurePa: number
  setC: number
  humidity: number
  corridorC: number
  corridorHumidity: number
  /** Thermostat: half its swing, K, and its period, s. */
  swingC: number
  swingS: number
  /** Half the swing of a day, K, and of its vapour, as a share. */
  dayC: number
  dayVapour: number
  wallS: number
  /** Time in which the room gives in to an open door, and recovers. */
  doorS: number
  recoverS: number
}

export function houseOf(c: Chance, kind: Kind, prime: boolean): House {
  const isTrap = kind === 'trap'
  const setC = isTrap ? c.between(19, 25) : c.between(17, 27)
  const usual = c.often(0.8)
  const humidity =
    kind === 'noDepression'
      ? c.between(80, 92)
      : isTrap
        ? c.between(32, 50)
        : kind === 'dehumidifierOff'
          ? c.between(30, 55)
          : usual
            ? prime
              ? c.between(48, 66)
              : c.between(34, 54)
            : c.between(25, 78)
  return {
    pressurePa: c.between(94_000, 102_500),
    setC,
    humidity,
    corridorC: setC + (isTrap ? c.between(-0.8, 0.8) : c.between(-4, 3)),
    corridorHumidity: isTrap ? c.between(76, 88) : c.between(35, 82),
    swingC: c.between(0.3, 1.2),
    swingS: c.between(900, 3_000),
    dayC: c.between(0.8, 2.2),
    dayVapour: c.between(0, 0.12),
    wallS: c.between(1_200, 6_000),
    doorS: c.between(300, 900),
    recoverS: c.between(900, 2_400),
  }
}

/** Seconds after the dip. */
interface Event {
  fromS: number
  untilS: number
  what: Happening['what']
  /** K of a ramp; or percent that the humidity climbs to. */
  size: number
}

/** What happens on a night, before it is known how long the coat takes. `slowS`: a first guess at how long its surface stays wet. */
function eventsOf(c: Chance, kind: Kind, slowS: number): Event[] {
  const fromS = c.between(0.25, 2.2) * slowS
  if (kind === 'coolingRoom' || kind === 'warmingRoom') {
    const cools = kind === 'coolingRoom'
    const size = (cools ? -1 : 1) * c.between(2.5, 6.5)
    return [{ fromS, untilS: fromS + c.between(1_200, 7_200), what: cools ? 'cools' : 'warms', size }]
  }
  if (kind === 'trap') {
    // Not before the wax has settled: else the rise would be hidden in its first fall.
    const openS = Math.max(2_000, c.between(0.2, 0.4) * slowS)
    return [{ fromS: openS, untilS: openS + c.between(3_000, 6_000), what: 'door', size: 0 }]
  }
  if (kind === 'door')
    return Array.from({ length: c.whole(1, 2) }, (_, i) => {
      const openS = (i + 0.2) * slowS * c.between(0.5, 1.5)
      return { fromS: openS, untilS: openS + c.scaled(300, 6_000), what: 'door' as const, size: 0 }
    })
  if (kind === 'dehumidifierOff')
    return [
      {
        fromS: fromS / 2,
        untilS: fromS / 2 + c.between(2, 8) * 3_600,
        what: 'dehumidifier-off',
        size: c.between(68, 88),
      },
    ]
  return []
}

export class Room {
  readonly happenings: Event[]
  readonly now: Climate
  readonly #house: House
  readonly #kind: Kind
  readonly #c: Chance
  readonly #phase: number
  readonly #keepsVapour: boolean
  #vapour: number
  #airC: number
  #stirC = 0
  #stirVapour = 0

  constructor(c: Chance, house: House, kind: Kind, slowS: number) {
    this.#c = c
    this.#house = house
    this.#kind = kind
    this.#phase = c.next()
    this.#keepsVapour = c.often(0.6)
    this.happenings = eventsOf(c, kind, slowS)
    this.#airC = house.setC
    this.#vapour = (house.humidity / 100) * saturationPa(house.setC)
    this.now = { airC: this.#airC, wallC: this.#airC, vapourPa: this.#vapour, wetBulbC: this.#airC - 5 }
    this.#see()
  }

  get #depth(): number {
    return this.#kind === 'cycles' ? 1 : this.#kind === 'steady' ? 0 : 0.25
  }

  /** `sinceS` from the dip; `daySeconds` of the day's clock. */
  step(dtS: number, sinceS: number, daySeconds: number): void {
    const h = this.#house
    const c = this.#c
    const day = Math.cos((2 * Math.PI * (daySeconds - 54_000)) / 86_400)
    const dayDepth = this.#kind === 'dayNight' ? 1 : 0.12
    let targetC = h.setC + h.dayC * dayDepth * day
    // A heater's half and a cooler's half of a thermostat's round, with corners that the room rounds off.
    const turn = (sinceS / h.swingS + this.#phase) % 1
    targetC += this.#depth * h.swingC * (1 - 4 * Math.abs(turn - 0.5)) * 1.3
    let airS = 420
    let vapourS = h.recoverS
    let set = 1 + h.dayVapour * dayDepth * Math.cos((2 * Math.PI * (daySeconds - 61_000)) / 86_400)
    if (this.#kind === 'cycles') set *= 1 + 0.03 * Math.sin(2 * Math.PI * turn * 3)
    let target = (h.humidity / 100) * saturationPa(h.setC) * set
    for (const e of this.happenings) {
      const isNow = sinceS >= e.fromS && sinceS < e.untilS
      if (e.what === 'cools' || e.what === 'warms') {
        const part = Math.min(1, Math.max(0, (sinceS - e.fromS) / (e.untilS - e.fromS)))
        targetC += e.size * part
        // Either its water stays in the air, or a machine holds the relative humidity.
        target = Math.min(target, 0.88 * saturationPa(targetC))
        if (!this.#keepsVapour) target = (h.humidity / 100) * saturationPa(targetC)
      } else if (isNow && e.what === 'door') {
        targetC += 0.6 * (h.corridorC - targetC)
        target += 0.85 * ((h.corridorHumidity / 100) * saturationPa(h.corridorC) - target)
        ;[airS, vapourS] = [h.doorS, h.doorS]
      } else if (isNow && e.what === 'dehumidifier-off') {
        target = Math.max(target, (e.size / 100) * saturationPa(h.setC))
        vapourS = 9_000
      }
    }
    const keep = Math.exp(-dtS / 1_200)
    const push = Math.sqrt(1 - keep * keep)
    this.#stirC = keep * this.#stirC + push * 0.07 * c.normal()
    this.#stirVapour = keep * this.#stirVapour + push * 0.008 * c.normal()
    this.#airC += (targetC - this.#airC) * (1 - Math.exp(-dtS / airS))
    this.#vapour += (target - this.#vapour) * (1 - Math.exp(-dtS / vapourS))
    this.now.airC = this.#airC + this.#stirC
    this.now.vapourPa = Math.min(this.#vapour * (1 + this.#stirVapour), 0.96 * saturationPa(this.now.airC))
    this.now.wallC += (this.now.airC - this.now.wallC) * (1 - Math.exp(-dtS / h.wallS))
    this.#see()
  }

  #see(): void {
    const { airC, vapourPa, wetBulbC: last } = this.now
    this.now.wetBulbC = wetBulbC(airC, vapourPa, this.#house.pressurePa, last)
  }
}
