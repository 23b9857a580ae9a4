/** Probes and chance: instruments lie in known ways, and the same seed gives the same lies. */
import { describe, expect, it } from 'vitest'
import { WireReading } from '../../shared/contract/index.ts'
import { hotJunctionC } from '../../shared/physics/thermocouple.ts'
import type { Fault } from '../../simulators/faults.ts'
import { indicatedC, seenSurfaceC } from '../../simulators/probes/infrared.ts'
import { bareThermocouple, climateProbe, temperatureProbe } from '../../simulators/probes/probe.ts'
import { follow, quantise } from '../../simulators/probes/sensing.ts'
import { chance } from '../../simulators/random.ts'

const habit = { id: 'p', intervalS: 5, lagS: 10, noise: 0, step: 0.1 }
const span = { from: 1_000_000, to: 100_000_000 }
const surrounds = (...faults: Fault[]) => ({ chance: chance(1), faults })

describe('chance with a seed', () => {
  it('gives the same numbers for the same seed and others for another', () => {
    const draw = (seed: number) => Array.from({ length: 5 }, chance(seed).next)
    expect(draw(7)).toEqual(draw(7))
    expect(draw(7)).not.toEqual(draw(8))
  })

  it('is spread evenly and normally as it says', () => {
    const luck = chance(3)
    const n = 40_000
    let [sum, square, even] = [0, 0, 0]
    for (let i = 0; i < n; i++) {
      const g = luck.gauss()
      sum += g
      square += g * g
      even += luck.next()
    }
    expect(Math.abs(sum / n)).toBeLessThan(0.02)
    expect(Math.abs(square / n - 1)).toBeLessThan(0.03)
    expect(Math.abs(even / n - 0.5)).toBeLessThan(0.01)
  })

  it('leaves one stream alone when another draws more', () => {
    const [a, b] = [chance(5), chance(5)]
    a.branch('x').next()
    expect(a.branch('y').next()).toBe(b.branch('y').next())
  })
})

describe('a probe', () => {
  it('has followed 63 % of a step after its lag, whatever the step of time', () => {
    let value = 0
    for (let t = 0; t < 10; t += 0.5) value = follow(value, 100, 0.5, 10)
    expect(value).toBeCloseTo(100 * (1 - Math.exp(-1)), 9)
    expect(quantise(21.2349, 0.05)).toBe(21.25)
  })

  it('that is bare publishes what leads back to the temperature of its hot end', () => {
    const probe = bareThermocouple(
      habit,
      'K',
      () => 684.2,
      () => 19,
      surrounds(),
    )
    probe.live(0, 1)
    const { microvolts = 0, junctionCelsius = 0 } = probe.read(0)
    expect(Math.abs((hotJunctionC('K', microvolts, junctionCelsius) ?? 0) - 684.2)).toBeLessThan(0.02)
  })

  it('says a fault when its circuit is open, repeats itself when stuck, and drifts by the hour', () => {
    let truth = 50
    const make = (fault: Fault) =>
      temperatureProbe(
        { ...habit, lagS: 0 },
        () => truth,
        () => 20,
        surrounds(fault),
      )
    const open = make({ fault: 'open-circuit', instrument: 'p', ...span })
    expect(open.read(span.from).fault).toBe('open circuit')
    const stuck = make({ fault: 'stuck', instrument: 'p', ...span })
    stuck.live(0, 1)
    const before = stuck.read(0)
    truth = 60
    stuck.live(span.from, 5)
    expect(stuck.read(span.from)).toEqual(before)
    const drifting = make({ fault: 'drift', instrument: 'p', cPerHour: 3, ...span })
    drifting.live(span.from, 5)
    expect(drifting.read(span.from + 3_600_000).celsius).toBeCloseTo(63, 6)
  })

  it('out of the wax reads the room', () => {
    const probe = temperatureProbe(
      { ...habit, lagS: 0 },
      () => 95,
      () => 21,
      surrounds({ fault: 'out-of-wax', instrument: 'p', ...span }),
    )
    probe.live(span.from, 5)
    expect(probe.read(span.from).celsius).toBe(21)
  })

  it('for the climate says temperature and humidity together', () => {
    const probe = climateProbe({ ...habit, lagS: 0 }, () => ({ airC: 22, humidity: 45 }), surrounds())
    probe.live(0, 5)
    const reading = probe.read(0)
    expect(reading.celsius).toBe(22)
    expect(reading.relativeHumidity ?? 0).toBeCloseTo(45, 0)
    expect(WireReading.safeParse(reading).success).toBe(true)
  })
})

describe('an infrared thermometer', () => {
  const view = { surfaceC: 105, emissivity: 0.92, setEmissivity: 0.95, reflectedC: 21, compensatedC: 21 }

  it('reads low when its emissivity is set too high, and right when set right', () => {
    expect(indicatedC(view) ?? 0).toBeLessThan(103.5)
    expect(indicatedC(view) ?? 0).toBeGreaterThan(101)
    expect(indicatedC({ ...view, setEmissivity: 0.92 })).toBeCloseTo(105, 9)
  })

  it('sees the lid and not the wax when the lid is on', () => {
    expect(seenSurfaceC(114, 20, true, false)).toBeLessThan(60)
    expect(seenSurfaceC(114, 20, false, true)).toBeGreaterThan(112)
  })
})
