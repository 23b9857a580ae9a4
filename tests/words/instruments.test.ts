/** What is said of instruments: checks, calibrations, values that mean nothing, and the air that a climate probe tells of. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type Check, noAnswers, quantities } from '../../shared/contract/index.ts'
import { minuteMs } from '../../shared/time.ts'
import {
  airOf,
  airSays,
  amount,
  badSays,
  calibrationSays,
  checkFoundSays,
  comparisonRefusalSays,
  noAnswerSays,
  noAnswerTodo,
  notStillSays,
  quantityNames,
  type Speech,
} from '../../shared/words/index.ts'

const noon = Date.parse('2026-03-03T12:00:00Z')
const celsius: Speech = { unit: 'C', timeZone: 'UTC', nameOf: (id) => id }
const fahrenheit: Speech = { ...celsius, unit: 'F' }
const broken = /undefined|NaN|null|\[object|Infinity| {2}|\.\./
const sentences = /^[A-Z](.*\.)$/

const check: Check = {
  reference: 'ice-point',
  readsC: 1.4,
  isC: 0,
  uC: 0.1,
  readings: 12,
  from: noon - minuteMs,
  to: noon,
  spreadC: 0.1,
}
const told = { name: 'Probe', check, differenceC: 1.4, inKiln: false, probeIsSure: true }

describe('a check', () => {
  it('says by how much and which way, and that it agrees where the difference is within its own doubt', () => {
    expect(checkFoundSays(told, celsius)).toBe(
      'Probe is 1.4 °C too high: it says 1.4 °C, and melting ice is 0.0 °C. The comparison is sure to ± 0.2 °C.',
    )
    expect(checkFoundSays({ ...told, differenceC: -0.5 }, celsius)).toMatch(
      /^Probe is 0\.5 °C too low: it says −0\.5 °C/,
    )
    expect(checkFoundSays({ ...told, differenceC: 0.2 }, celsius)).toMatch(/^Probe agrees: it says 0\.2 °C/)
  })

  it('is told in Fahrenheit to whoever reads it, a difference without the offset of the scale', () => {
    expect(checkFoundSays(told, fahrenheit)).toBe(
      'Probe is 2.5 °F too high: it says 34.5 °F, and melting ice is 32.0 °F. The comparison is sure to ± 0.4 °F.',
    )
  })

  it('that cannot be made says why and what to do', () => {
    const all = [
      { why: 'no-temperature' },
      { why: 'silent', quietMs: null },
      { why: 'silent', quietMs: 90_000 },
      { why: 'too-few', readings: 0, needed: 3, overMs: minuteMs },
      { why: 'too-few', readings: 2, needed: 3, overMs: minuteMs },
      { why: 'moving', spreadC: 2, spreadMaxC: 0.5, overMs: minuteMs },
      { why: 'no-answer', because: 'it sees more than its target' },
    ] as const
    for (const speech of [celsius, fahrenheit])
      for (const one of all) {
        const sentence = notStillSays('Probe', one, speech)
        expect(sentence).toMatch(sentences)
        expect(sentence).not.toMatch(broken)
      }
    expect(notStillSays('Probe', all[4], celsius)).toBe(
      'Probe has sent only two readings in the last 1 min; wait until there are three.',
    )
  })
})

describe('a calibration', () => {
  it('says that one of the past is an amendment, and since when', () => {
    expect(calibrationSays('Probe', noon - 60 * minuteMs, noon, true, celsius)).toMatch(
      /^This is an amendment: what Probe has measured since 11:00 means something else now\. .*alarms that were announced stay as they were\.$/,
    )
    expect(calibrationSays('Probe', noon, noon, false, celsius)).toMatch(/^From now on Probe .*stays as it was sent\.$/)
  })
})

describe('a value that means nothing', () => {
  it.each(noAnswers)('by reason of %s has a sentence and something to do', (reason) => {
    for (const sentence of [noAnswerSays(reason), noAnswerTodo(reason)]) expect(sentence).toMatch(sentences)
  })

  it('and each refusal of a comparison, and each bad value, has its own', () => {
    const refusals = [
      'too-few-pairs',
      'too-close-to-background',
      'scattered',
      'emissivity-too-low',
      'above-one',
      'out-of-range',
    ] as const
    const all = [
      ...refusals.map(comparisonRefusalSays),
      ...(['sensor-code', 'implausible', undefined] as const).map(badSays),
    ]
    expect(new Set(all).size).toBe(all.length)
    for (const sentence of all) expect(sentence).toMatch(sentences)
  })
})

describe('the air', () => {
  it('is told by what follows from temperature and humidity', () => {
    const air = airOf(22, 45, 0)
    expect(air).not.toBeNull()
    if (air === null) return
    expect(airSays(air, celsius)).toMatch(
      /^Dew point 9\.5 °C; wet bulb 14\.\d °C, 7\.\d °C below the air; room for 14\d\d Pa more vapour; 7\.\d g of water in each kilogram of dry air\.$/,
    )
    expect(airSays(air, fahrenheit)).not.toContain('°C')
    expect(air.enthalpyKjPerKg).toBeGreaterThan(35)
  })

  it('is not told where it cannot be: more than saturated, quite dry, or at no possible height', () => {
    expect([airOf(22, 104, 0), airOf(22, 0, 0), airOf(22, 45, 40_000)]).toEqual([null, null, null])
  })

  it('never has a wet bulb above the air or below its dew point', () => {
    fc.assert(
      fc.property(fc.double({ min: 1, max: 50, noNaN: true }), fc.integer({ min: 10, max: 100 }), (t, humidity) => {
        const air = airOf(t, humidity, 40)
        if (air === null || air.dewPointC < 0.1) return
        expect(air.depressionC).toBeGreaterThan(-0.001)
        expect(air.wetBulbC).toBeGreaterThanOrEqual(air.dewPointC - 0.001)
      }),
    )
  })
})

describe('a derived quantity', () => {
  it('is never said as if it were how warm it is', () => {
    expect(amount('dew-point', 9.5, celsius)).toBe('dew point 9.5 °C')
    expect(amount('wet-bulb', 14.2, fahrenheit)).toBe('wet bulb 57.6 °F')
    expect(new Set(quantities.map((q) => quantityNames[q])).size).toBe(quantities.length)
  })
})
