/** Numbers and times as they are said: in the viewer's unit, in the foundry's zone, in few words. */
import { describe, expect, it } from 'vitest'
import {
  ago,
  count,
  duration,
  freshness,
  temperature,
  temperatureDifference,
  temperatureSpan,
  timeOfDay,
  speechOf,
} from '../../shared/words/index.ts'
import { fakeFoundry, fakeNow } from '../helpers/fake-foundry.ts'

const minute = 60_000
const celsius = speechOf(fakeFoundry)
const fahrenheit = speechOf(fakeFoundry, 'F')

describe('numbers and times as they are said', () => {
  it('keeps a tenth where it means something and never writes a negative zero', () => {
    expect(temperature(93.44, celsius)).toBe('93.4 °C')
    expect(temperature(-0.04, celsius)).toBe('0.0 °C')
    expect(temperature(-5, celsius)).toBe('−5.0 °C')
    expect(temperature(698.6, celsius)).toBe('699 °C')
    expect(temperature(Number.NaN, celsius)).toBe('an unknown temperature')
  })
  it('turns Celsius into Fahrenheit at the fixed points of both scales', () => {
    expect(temperature(0, fahrenheit)).toBe('32.0 °F')
    expect(temperature(100, fahrenheit)).toBe('212 °F')
    expect(temperatureDifference(10, fahrenheit)).toBe('18 °F')
    expect(temperatureSpan(93, 97, fahrenheit)).toBe('199.4–207 °F')
  })
  it('says a length of time in at most two units', () => {
    expect([0, 4_400, 59_600, 12 * minute, 185 * minute, 240 * minute, 72 * 60 * minute].map(duration)).toEqual([
      '0 s',
      '4 s',
      '1 min',
      '12 min',
      '3 h 5 min',
      '4 h',
      '3 days',
    ])
  })
  it('reads the clock of the foundry, not of the viewer, in summer and in winter', () => {
    expect(timeOfDay(Date.UTC(2031, 0, 1, 12), celsius)).toBe('13:00')
    expect(timeOfDay(Date.UTC(2031, 6, 1, 12), celsius)).toBe('14:00')
    expect(ago(fakeNow - 500, fakeNow)).toBe('just now')
  })
  it('calls a value fresh, late or old by its own instrument', () => {
    const series = { measuredAt: fakeNow, intervalMs: 10_000, silenceMs: 30_000 }
    expect([5_000, 25_000, 31_000].map((age) => freshness(series, fakeNow + age))).toEqual(['fresh', 'waiting', 'old'])
  })
  it('counts few in words and many in digits', () => {
    expect([count(1, 'thing'), count(2, 'thing'), count(13, 'thing')]).toEqual(['one thing', 'two things', '13 things'])
  })
})
