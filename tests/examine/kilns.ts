/** Kilns for the workbench: firing after firing with ramps and holds, two probes in the air, one in the load, and wires that can lie. Invented. */
import type { ExaminedInstrument, ExaminedStation } from '../../shared/judge/examine/index.ts'
import { type Chance, chance } from '../../simulators/random.ts'
import { beginAt, type Device, type Scene } from './workbench.ts'

export interface KilnNow {
  t: number
  firing: number
  /** Where each probe sits, °C. */
  aC: number
  bC: number
  loadC: number
  setC: number
  /** Hours that the air has rested between 250 and 550 °C since it was last above 650. */
  restH: number
}

export interface KilnPlan {
  seed: number
  days: number
  /** One firing begins every so many hours. */
  everyH: number
  /** Legs: to °C at °C an hour, then hold, h. */
  legs: readonly (readonly [toC: number, cPerHour: number, holdH: number])[]
  device(instrument: ExaminedInstrument, now: KilnNow, chance: Chance): Device
  load?: boolean
}

export const burnout = [
  [150, 60, 2],
  [400, 80, 4],
  [720, 100, 4],
  [450, 80, 2],
] as const
export const shells = [[870, 500, 2]] as const

function setAt(legs: KilnPlan['legs'], hours: number): number | null {
  let [from, t] = [22, hours]
  for (const [to, rate, hold] of legs) {
    const ramp = Math.abs(to - from) / rate
    if (t < ramp) return from + ((to - from) * t) / ramp
    if (t < ramp + hold) return to
    t -= ramp + hold
    from = to
  }
  return null
}

export function air(id: string): ExaminedInstrument {
  return { id, kind: 'thermocouple', place: 'kiln-air', thermocouple: 'K', intervalMs: 10_000 }
}
export const load: ExaminedInstrument = {
  id: 'load',
  kind: 'thermocouple',
  place: 'kiln-load',
  thermocouple: 'N',
  intervalMs: 10_000,
}

export function kilnScene(plan: KilnPlan): Scene {
  const root = chance(plan.seed)
  const weather = root.branch('weather')
  const now: KilnNow = { t: beginAt, firing: 0, aC: 22, bC: 22, loadC: 22, setC: 22, restH: 0 }
  let [airC, ripple, corner, slow, rate] = [22, 0, 0, 0, 0]
  const cornerOf = (firing: number) => 1.2 * root.branch(`firing ${firing}`).gauss()
  const spot = 0.006 * root.branch('spot').gauss()
  const live = (t: number, dtS: number) => {
    const hours = (t - beginAt) / 3_600_000
    const firing = Math.floor(hours / plan.everyH)
    const set = setAt(plan.legs, hours - firing * plan.everyH)
    if (firing !== now.firing || corner === 0) corner = cornerOf(firing)
    now.firing = firing
    const before = airC
    // Switched off it cools through its walls; on, it follows its programme with a little unrest.
    if (set === null) airC += ((22 - airC) * dtS) / 14_000
    else airC += ((set - airC) * dtS) / 240
    rate += ((((airC - before) / dtS) * 3_600 - rate) * dtS) / 600
    ripple += (-ripple * dtS) / 400 + 0.04 * weather.gauss()
    slow += ((airC - slow) * dtS) / 5_400
    now.t = t
    now.setC = set ?? 22
    now.aC = airC + ripple
    // The other place lags on a ramp, comes to rest within an hour, and stands a little apart, more so with another load.
    now.bC = airC + 0.8 * ripple - 0.02 * rate - 0.03 * (airC - slow) + (spot * airC + corner) * Math.min(1, airC / 400)
    now.loadC += ((airC - now.loadC) * dtS) / 6_000
    if (airC > 650) now.restH = 0
    else if (airC > 250 && airC < 550) now.restH += dtS / 3_600
  }
  const instruments = plan.load === false ? [air('a'), air('b')] : [air('a'), air('b'), load]
  const devices = instruments.map((i, k) => plan.device(i, now, root.branch(`device ${k}`)))
  const station: ExaminedStation = { kind: 'kiln', instruments }
  return { station, devices, live, days: plan.days, chance: root.branch('noise') }
}

export function feltAt(instrument: ExaminedInstrument, now: KilnNow): number {
  return instrument.id === 'a' ? now.aC : instrument.id === 'b' ? now.bC : now.loadC
}

/** Honest: within class 1, a share of the temperature. */
export function honestWire(instrument: ExaminedInstrument, now: KilnNow, chance: Chance): Device {
  const share = 0.002 * chance.gauss()
  const offset = 0.6 * chance.gauss()
  return {
    feels: () => feltAt(instrument, now),
    lagS: 15 + 25 * chance.next(),
    noise: 0.1 + 0.2 * chance.next(),
    step: chance.next() < 0.3 ? 1 : 0.1,
    shows: (c) => c + offset + share * c,
  }
}
