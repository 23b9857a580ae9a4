/** The ground of the pictures: scales, holes, excursions, the hill and the night, by numbers worked out by hand. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { hillOf } from '../../dashboard/chart/hill.ts'
import { limitsFor, stretch } from '../../dashboard/chart/limits.ts'
import { nightAround, zoneOffsetMs } from '../../dashboard/chart/night.ts'
import { excursions } from '../../dashboard/chart/ribbon.ts'
import { pathOf, roundMarks, scale, timeMarks } from '../../dashboard/chart/scale.ts'
import { sampled, summarise } from '../../dashboard/chart/summary.ts'
import { unbroken } from '../../dashboard/parts/unbroken.ts'
import { type BurnoutRecipe, Foundry } from '../../shared/contract/index.ts'
import { burnoutView } from '../helpers/burnout-view.ts'
import { fakeFoundry } from '../helpers/fake-foundry.ts'

const minute = 60_000
const hour = 60 * minute

describe('a scale', () => {
  it('writes round numbers, inside its ends, rising', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -200, max: 1_500, noNaN: true }),
        fc.double({ min: 0.5, max: 1_500, noNaN: true }),
        fc.integer({ min: 2, max: 12 }),
        (from, span, wanted) => {
          const marks = roundMarks(from, from + span, wanted)
          expect(marks.length).toBeLessThanOrEqual(wanted + 1)
          marks.forEach((mark, i) => {
            expect(mark).toBeGreaterThanOrEqual(from - 1e-6)
            expect(mark).toBeLessThanOrEqual(from + span + span * 1e-6)
            if (i > 0) expect(mark).toBeGreaterThan(marks[i - 1] as number)
          })
        },
      ),
    )
  })
  it('puts the hours of a day on whole hours of the foundry, not of Greenwich', () => {
    const half = 5.5 * hour
    for (const mark of timeMarks(0, 14 * hour, 7, half)) expect((mark + half) % hour).toBe(0)
  })
  it('lifts the pen at a hole', () => {
    const x = scale(0, 3, 0, 3)
    expect(pathOf([0, 1, 2, 3], [1, 1, null, 1], x, x).match(/M/g)).toHaveLength(2)
  })
})

describe('what a chart says in numbers', () => {
  const columns = { t: [0, 10 * minute, 10 * minute + 1, 40 * minute, 60 * minute], v: [20, 22, null, 23, 21] }
  it('counts as seen only what was seen', () => {
    expect(summarise(columns, 0, 60 * minute)).toEqual({
      min: 20,
      max: 23,
      last: 21,
      lastAt: 60 * minute,
      seenMs: 30 * minute,
      holes: [{ from: 10 * minute, to: 40 * minute }],
    })
  })
  it('has no value in a hole, in the table as in the picture', () => {
    expect(sampled(columns, 0, 60 * minute, 6).map((row) => row.value)).toEqual([20, 22, null, null, 23, 23, 21])
  })
  it('says nothing about a span in which nothing was seen', () => {
    expect(summarise(columns, 2 * hour, 3 * hour)).toBeNull()
  })
})

describe('the night ribbon', () => {
  const band = { from: 20.3, to: 23.7 }
  it('begins and ends an excursion at the crossing itself and integrates what lies beyond', () => {
    // From 22.7 up to 24.7 in 20 min and down again: crosses 23.7 at 10 and 30 min, a triangle 20 min wide and 1 degree high.
    const [swelling, ...more] = excursions({ t: [0, 20 * minute, 40 * minute], v: [22.7, 24.7, 22.7] }, band)
    expect(more).toEqual([])
    expect(swelling).toMatchObject({ side: 'above', peak: 24.7, peakAt: 20 * minute })
    expect(swelling?.from).toBeCloseTo(10 * minute, 3)
    expect(swelling?.to).toBeCloseTo(30 * minute, 3)
    expect(swelling?.degreeMinutes).toBeCloseTo(10, 6)
  })
  it('does not carry an excursion across a hole', () => {
    const found = excursions(
      { t: [0, 10 * minute, 10 * minute + 1, 60 * minute, 70 * minute], v: [24.7, 24.7, null, 24.7, 24.7] },
      band,
    )
    expect(found.map((s) => [s.from, s.to, Math.round(s.degreeMinutes)])).toEqual([
      [0, 10 * minute, 10],
      [60 * minute, 70 * minute, 10],
    ])
  })
  it('splits a fall through the whole band into what was above and what was below', () => {
    expect(excursions({ t: [0, 60 * minute], v: [30, 10] }, band).map((s) => s.side)).toEqual(['above', 'below'])
  })
  it('finds nothing in a quiet night, at the limit itself as well', () => {
    expect(excursions({ t: [0, hour], v: [20.3, 23.7] }, band)).toEqual([])
  })
})

describe('the night of the house', () => {
  it('runs from dusk to dawn in the zone of the foundry', () => {
    const { dusk, dawn } = nightAround(Date.UTC(2031, 10, 19, 9, 12), 'Europe/Brussels')
    expect(new Date(dusk).toISOString()).toBe('2031-11-18T16:30:00.000Z')
    expect(new Date(dawn).toISOString()).toBe('2031-11-19T06:30:00.000Z')
  })
  it('is an hour longer where the clocks go back in it, and an hour shorter where they go forward', () => {
    // Brussels: back on 26 October 2031, forward on 30 March 2031 (last Sundays, EU directive 2000/84/EC).
    const length = (now: number) => {
      const { dusk, dawn } = nightAround(now, 'Europe/Brussels')
      return (dawn - dusk) / hour
    }
    expect([
      length(Date.UTC(2031, 9, 26, 0)),
      length(Date.UTC(2031, 2, 30, 0)),
      length(Date.UTC(2031, 5, 1, 0)),
    ]).toEqual([15, 13, 14])
  })
  it('knows the offset of a zone, half hours too', () => {
    expect(zoneOffsetMs(Date.UTC(2031, 0, 1), 'Asia/Kolkata')).toBe(5.5 * hour)
  })
})

describe('the hill', () => {
  const recipe = fakeFoundry.recipes.find((r) => r.kind === 'burnout') as BurnoutRecipe
  const view = burnoutView({ temperatureC: 150, segment: 1, segmentSince: 5 * hour, targetC: 150, deviationC: 0 })
  it('is as long as its ramps and holds say', () => {
    // 125/40 h, 4 h, 390/60 h, 2 h, 160/50 h, 4 h, 250/40 h
    const end = hillOf(recipe, 0, null).at(-1)?.at ?? 0
    expect(end / hour).toBeCloseTo(3.125 + 4 + 6.5 + 2 + 3.2 + 4 + 6.25, 9)
  })
  it('stands where the present part really began: a slow kiln moves everything ahead of it', () => {
    const hill = hillOf(recipe, 0, view)
    expect(hill[0]?.at).toBe(0)
    expect(hill.find((p) => p.segment === 1)?.at).toBeCloseTo(5 * hour, 3)
    expect((hill.at(-1)?.at ?? 0) / hour).toBeCloseTo(5 + 4 + 6.5 + 2 + 3.2 + 4 + 6.25, 9)
  })
})

describe('limits beside a trace', () => {
  it('draws the window of the quantity and the lowest ceiling', () => {
    const { stations } = Foundry.parse(fakeFoundry)
    const of = (id: string) => stations.find((s) => s.id === id)
    const room = of('D1')
    const pot = of('W1')
    if (!room || !pot) throw new Error('stations are gone')
    expect(limitsFor(room, 'humidity')).toEqual({ band: { from: 55, to: 65 }, ceiling: null })
    expect(limitsFor(pot, 'temperature')).toEqual({ band: null, ceiling: 150 })
    expect(limitsFor(pot, 'humidity').ceiling).toBeNull()
  })
  it('does not blow a quiet line up into drama, and shows a limit that is near', () => {
    const [low, high] = stretch(22, 22.1, { band: { from: null, to: 23.7 }, ceiling: null }, 3)
    expect(high - low).toBeGreaterThan(3)
    expect(high).toBeGreaterThan(23.7)
    expect(stretch(22, 22.1, { band: null, ceiling: 150 }, 3)[1]).toBeLessThan(30)
  })
})

describe('a number and its unit', () => {
  it('stay on one line', () => {
    expect(unbroken('47 min of 4 h credited at 700 °C, 45 % humidity')).toBe(
      '47\u00a0min of 4\u00a0h credited at 700\u00a0°C, 45\u00a0% humidity',
    )
    expect(unbroken('4 stations')).toBe('4 stations')
  })
})
