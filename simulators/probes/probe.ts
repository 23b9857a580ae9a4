/** Instruments of the demo: each follows something true in a body and says what it would publish, faults included. */
import type { WireReading } from '../../shared/contract/index.ts'
import type { ThermocoupleType } from '../../shared/physics/its90.ts'
import { emfMv } from '../../shared/physics/thermocouple.ts'
import type { EpochMs } from '../../shared/time.ts'
import { type Fault, standing } from '../faults.ts'
import type { Chance } from '../random.ts'
import { follow, quantise, tremble } from './sensing.ts'

export interface Probe {
  id: string
  intervalS: number
  /** Lets the probe's element follow its surroundings for `dtS` seconds, up to `at`. */
  live(at: EpochMs, dtS: number): void
  /** What it publishes at `at`; the time itself is added by the device. */
  read(at: EpochMs): WireReading
}

export interface ProbeHabit {
  id: string
  intervalS: number
  lagS: number
  noise: number
  step: number
}

interface Surrounds {
  chance: Chance
  faults: readonly Fault[]
}

/** A number that passes through lag, faults, noise and steps; null while the circuit is open. */
function felt(habit: ProbeHabit, truth: () => number, elsewhere: () => number, { chance, faults }: Surrounds) {
  let element: number | null = null
  let held: number | null = null
  return {
    live: (at: EpochMs, dtS: number) => {
      const out = standing(faults, 'out-of-wax', habit.id, at) !== undefined
      const around = out ? elsewhere() : truth()
      element = element === null ? around : follow(element, around, dtS, habit.lagS)
    },
    read: (at: EpochMs): number | null => {
      if (standing(faults, 'open-circuit', habit.id, at)) return null
      if (held !== null && standing(faults, 'stuck', habit.id, at)) return held
      const drift = standing(faults, 'drift', habit.id, at)
      const wire = standing(faults, 'decalibrated', habit.id, at)
      const drifted = drift ? (drift.cPerHour * (at - drift.from)) / 3_600_000 : 0
      const value = (element ?? truth()) * (1 + (wire?.share ?? 0)) + drifted
      held = quantise(tremble(value, habit.noise, chance), habit.step)
      return held
    },
  }
}

const openCircuit: WireReading = { fault: 'open circuit' }

/** A probe with its own converter: it publishes degrees, Celsius unless it was sold for Fahrenheit. */
export function temperatureProbe(
  habit: ProbeHabit,
  truth: () => number,
  ambient: () => number,
  surrounds: Surrounds,
  unit: 'celsius' | 'fahrenheit' = 'celsius',
): Probe {
  const part = felt(habit, truth, ambient, surrounds)
  return {
    ...habit,
    live: part.live,
    read: (at) => {
      const c = part.read(at)
      if (c === null) return openCircuit
      return unit === 'celsius' ? { celsius: c } : { fahrenheit: Math.round((c * 1.8 + 32) * 10) / 10 }
    },
  }
}

/** A bare thermocouple: its amplifier publishes microvolts and the temperature of the terminals, and leaves the rest to us. */
export function bareThermocouple(
  habit: ProbeHabit,
  type: ThermocoupleType,
  truth: () => number,
  ambient: () => number,
  surrounds: Surrounds,
): Probe {
  const part = felt({ ...habit, step: 0 }, truth, ambient, surrounds)
  return {
    ...habit,
    live: part.live,
    read: (at) => {
      const hot = part.read(at)
      const junctionCelsius = quantise(ambient() + 2.5, 0.0625)
      const hotMv = hot === null ? null : emfMv(type, hot)
      const junctionMv = emfMv(type, junctionCelsius)
      if (hotMv === null || junctionMv === null) return openCircuit
      return { microvolts: quantise((hotMv - junctionMv) * 1_000, 0.5), junctionCelsius }
    },
  }
}

/** An infrared thermometer; `sees` gives what it would indicate. */
export function infraredProbe(
  habit: ProbeHabit,
  sees: () => number,
  setting: { emissivity: number; reflectedCelsius: number },
  surrounds: Surrounds,
): Probe {
  const part = felt(habit, sees, sees, surrounds)
  return {
    ...habit,
    live: part.live,
    read: (at) => {
      const c = part.read(at)
      return c === null ? { fault: 'no signal' } : { celsius: c, ...setting }
    },
  }
}

/** Temperature and relative humidity from one head. */
export function climateProbe(
  habit: ProbeHabit,
  air: () => { airC: number; humidity: number },
  surrounds: Surrounds,
): Probe {
  const warm = felt(
    habit,
    () => air().airC,
    () => air().airC,
    surrounds,
  )
  const damp = felt(
    { ...habit, noise: 0.12, step: 0.1 },
    () => air().humidity,
    () => air().humidity,
    {
      ...surrounds,
      faults: surrounds.faults.filter((fault) => fault.fault === 'stuck' || fault.fault === 'open-circuit'),
    },
  )
  return {
    ...habit,
    live: (at, dtS) => {
      warm.live(at, dtS)
      damp.live(at, dtS)
    },
    read: (at) => {
      const celsius = warm.read(at)
      const relativeHumidity = damp.read(at)
      if (celsius === null || relativeHumidity === null) return { fault: 'no answer from the sensing head' }
      return { celsius, relativeHumidity: Math.min(100, Math.max(0, relativeHumidity)) }
    },
  }
}

/** A contact: closed or open, as it is now. */
export function contactProbe(id: string, intervalS: number, closed: () => boolean): Probe {
  return { id, intervalS, live: () => {}, read: () => ({ closed: closed() }) }
}

/** A clamp around a supply lead. */
export function currentProbe(id: string, intervalS: number, amperes: () => number, { chance }: Surrounds): Probe {
  return {
    id,
    intervalS,
    live: () => {},
    read: () => ({ amperes: Math.max(0, quantise(tremble(amperes(), 0.01, chance), 0.01)) }),
  }
}
