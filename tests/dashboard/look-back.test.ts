/** Looking back in words and marks: times along the chart, the same span before, the calendar, the address and the sentences. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { earlier, instantOf, localDate } from '../../dashboard/chart/local.ts'
import { timeMarksOf } from '../../dashboard/chart/timeMarks.ts'
import { filledSide, neighbour, shadedBy, shadeOf, shades, shadeScale, squaresOf } from '../../dashboard/chart/years.ts'
import { lookedAt, searchOf, seriesOfStation, spanAround } from '../../dashboard/pages/looked-at.ts'
import { difference, evidence, headline, percent, spanTold } from '../../dashboard/words/looked.ts'
import type { PeriodSums } from '../../shared/contract/index.ts'
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts'
import { fakeFoundry } from '../helpers/fake-foundry.ts'

const zone = 'Europe/Brussels'

describe('marks along the time', () => {
  it('rise, lie within, and are never many more than wanted, from a second to a century', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1e12, max: 2.5e12 }),
        fc.double({ min: 3, max: 12.3, noNaN: true }),
        fc.integer({ min: 2, max: 16 }),
        (from, power, wanted) => {
          const to = from + 10 ** power
          const marks = timeMarksOf(from, to, wanted, zone).map((mark) => mark.at)
          expect(marks.length).toBeLessThanOrEqual(wanted * 1.3 + 2)
          marks.forEach((at, i) => {
            expect(at).toBeGreaterThanOrEqual(from)
            expect(at).toBeLessThanOrEqual(to)
            if (i > 0) expect(at).toBeGreaterThan(marks[i - 1] as number)
          })
        },
      ),
    )
  })
  it('stand at the first of months and years in the zone of the foundry', () => {
    const texts = timeMarksOf(Date.UTC(2030, 10, 1), Date.UTC(2031, 4, 1), 8, zone)
    expect(texts.map((mark) => mark.text)).toEqual(['Dec', '2031', 'Feb', 'Mar', 'Apr', 'May'].slice(0, texts.length))
    for (const { at } of texts) expect(localDate(at, zone).day).toBe(1)
  })
  it('keep noon at noon on the day the clocks go back', () => {
    const day = instantOf({ year: 2031, month: 10, day: 26 }, zone)
    const marks = timeMarksOf(day, day + 25 * hourMs, 5, zone)
    expect(marks.map((mark) => mark.text)).toEqual(['26 Oct', '06:00', '12:00', '18:00', '27 Oct'])
    expect(marks[4]?.at).toBe(day + 25 * hourMs)
  })
})

describe('the same span before', () => {
  it('begins at the same time of day, whatever the clocks did in between', () => {
    // Brussels: summer time from 30 March 2031 on (last Sunday of March, EU directive 2000/84/EC).
    const at = instantOf({ year: 2031, month: 4, day: 2 }, zone, 8 * hourMs)
    expect(at - earlier(at, { days: 7 }, zone)).toBe(7 * dayMs - hourMs)
    expect(earlier(at, { months: 12 }, zone)).toBe(instantOf({ year: 2030, month: 4, day: 2 }, zone, 8 * hourMs))
  })
  it('takes the last day of a month that is shorter', () => {
    const at = instantOf({ year: 2031, month: 3, day: 31 }, zone)
    expect(localDate(earlier(at, { months: 1 }, zone), zone)).toEqual({ year: 2031, month: 2, day: 28 })
  })
})

function sumsOf(from: number, to: number, change: Partial<PeriodSums> = {}): PeriodSums {
  const seenMs = change.seenMs ?? to - from
  return {
    from,
    to,
    readings: 10,
    seenMs,
    coverage: seenMs / (to - from),
    longestHoleMs: 0,
    mean: 22,
    lowest: { t: from, v: 21 },
    highest: { t: from + 1, v: 24 },
    inBandMs: seenMs,
    beyond: 0,
    ...change,
  }
}
function daysOf(year: number): PeriodSums[] {
  const days: PeriodSums[] = []
  for (let day = 1; day <= 366; day++) {
    const [from, to] = [day, day + 1].map((one) => instantOf({ year, month: 1, day: one }, zone)) as [number, number]
    if (localDate(from + 12 * hourMs, zone).year === year) days.push(sumsOf(from, to))
  }
  return days
}

describe('the calendar of years', () => {
  it.each([2028, 2030, 2031, 2032])('places every day of %i once, a month a row', (year) => {
    const squares = squaresOf(year, daysOf(year), zone)
    expect(squares).toHaveLength(year % 4 === 0 ? 366 : 365)
    expect(new Set(squares.map((s) => `${s.column} ${s.row}`)).size).toBe(squares.length)
    for (const { row, column, month, day } of squares) expect([row, column]).toEqual([month - 1, day - 1])
  })
  it('leads by arrow keys to the day beside, above and below', () => {
    const squares = squaresOf(2031, daysOf(2031), zone)
    const to = (index: number, key: string) => neighbour(squares, index, key)
    expect(to(100, 'ArrowRight')).toBe(101)
    expect(to(100, 'ArrowUp')).toBe(69)
    expect(to(0, 'ArrowLeft')).toBe(0)
    expect(to(364, 'ArrowRight')).toBe(364)
    expect(to(100, 'End')).toBe(364)
    // From 31 March up to the last of February.
    expect(to(89, 'ArrowUp')).toBe(58)
  })
  it('never shades a day on which nothing was seen', () => {
    const unseen = sumsOf(0, dayMs, { seenMs: 0, mean: null, lowest: null, highest: null })
    for (const shading of ['mean', 'highest', 'lowest', 'outside', 'coverage'] as const)
      expect(shadedBy(unseen, shading)).toBeNull()
    expect(filledSide(0)).toBe(0)
    expect(filledSide(0.25)).toBe(0.5)
  })
  it('gives the deepest shade to the highest day and the weakest to the lowest', () => {
    const days = [20, 21, 22, 30].map((mean, i) => sumsOf(i * dayMs, (i + 1) * dayMs, { mean }))
    const scale = shadeScale(days, 'mean')
    if (!scale) throw new Error('no scale')
    expect(days.map((day) => shadeOf(day.mean as number, scale))).toEqual([0, 0, 1, shades - 1])
    expect(shadeOf(5, { low: 5, high: 5 })).toBe(2)
  })
})

describe('the address of a look', () => {
  it('says again what it was told, so that a link can be sent', () => {
    const looks = fc.record({
      series: fc.uniqueArray(fc.constantFrom('d1-a.temperature', 'd1-a.humidity', 'k2-load.temperature'), {
        minLength: 1,
      }),
      station: fc.constant(null),
      span: fc.option(
        fc
          .tuple(fc.integer({ min: 0, max: 2e12 }), fc.integer({ min: 1, max: 1e12 }))
          .map(([from, length]) => ({ from, to: from + length })),
      ),
      with: fc.oneof(
        fc.constantFrom('nothing' as const, 'week' as const, 'month' as const, 'year' as const),
        fc.constant({ run: 'r-1' }),
      ),
    })
    fc.assert(
      fc.property(looks, (look) => {
        expect(lookedAt(searchOf(look))).toEqual(look)
      }),
    )
  })
  it('takes no harm from what is none', () => {
    expect(lookedAt('?series=x,,d1-a.temperature,d1-a.temperature&from=9&to=3&with=moon')).toEqual({
      series: ['d1-a.temperature'],
      station: null,
      span: null,
      with: 'nothing',
    })
    fc.assert(
      fc.property(fc.string(), (text) => {
        expect(lookedAt(text).series.length).toBeLessThanOrEqual(6)
      }),
    )
  })
  it('means by a station its leading series first, humidity too', () => {
    const room = fakeFoundry.stations.find((station) => station.id === 'D1')
    const pot = fakeFoundry.stations.find((station) => station.id === 'W1')
    if (!room || !pot) throw new Error('stations are gone')
    expect(seriesOfStation(room, fakeFoundry, ['d1-a.humidity', 'd1-a.temperature', 'b1.temperature'])).toEqual([
      'd1-a.temperature',
      'd1-a.humidity',
    ])
    expect(seriesOfStation(pot, fakeFoundry, ['w1-low.temperature', 'w1-mid.temperature'])[0]).toBe(
      'w1-mid.temperature',
    )
  })
  it('keeps the middle where one looks at the past, and the present where one looks at that', () => {
    expect(spanAround({ from: 100, to: 200 }, 50, 1_000)).toEqual({ from: 125, to: 175 })
    expect(spanAround({ from: 900, to: 1_000 }, 500, 1_000)).toEqual({ from: 500, to: 1_000 })
    expect(spanAround({ from: 800, to: 900 }, 500, 1_000)).toEqual({ from: 500, to: 1_000 })
  })
})

describe('what a look says', () => {
  const speech = { unit: 'C' as const, timeZone: zone, nameOf: (id: string) => id }
  const now = Date.UTC(2031, 10, 19, 9)
  const march = instantOf({ year: 2031, month: 3, day: 12 }, zone)
  const told = sumsOf(march, march + dayMs, {
    seenMs: 0.96 * dayMs,
    longestHoleMs: 31 * minuteMs,
    highest: { t: march + 190 * minuteMs, v: 31.4 },
  })
  it('names lowest and highest with their times, the average, what was seen and the longest hole', () => {
    expect(headline('D1 climate A', 'd1-a.temperature', told, speech)).toBe(
      'D1 climate A: between 21.0 °C and 31.4 °C.',
    )
    expect(evidence('d1-a.temperature', told, now, speech)).toBe(
      '22.0 °C on average; lowest Wed 12 Mar 00:00, highest Wed 12 Mar 03:10. 96 % seen. The longest time unseen was 31 min.',
    )
  })
  it('says the difference with both coverages beside it, in the unit of the viewer', () => {
    const before = { ...told, mean: 20.8, coverage: 0.88 }
    expect(difference('d1-a.temperature', told, before, 'the year before', speech)).toBe(
      'On average 1.2 °C warmer than the year before; 96 % and 88 % seen.',
    )
    expect(
      difference('d1-a.temperature', told, { ...before, mean: 23 }, 'the year before', { ...speech, unit: 'F' }),
    ).toContain('1.8 °F colder')
    expect(difference('d1-a.humidity', told, { ...before, mean: 30 }, 'the week before', speech)).toContain('8 % drier')
    expect(difference('d1-a.temperature', told, { ...before, mean: null }, 'the year before', speech)).toBe(
      'Nothing was seen the year before.',
    )
    expect(difference('d1-a.temperature', told, { ...before, mean: 22.01 }, 'the year before', speech)).toBe(
      'On average the same as the year before; 96 % and 88 % seen.',
    )
  })
  it('does not round what was not wholly seen up to all of it', () => {
    expect([1, 0.9999, 0.995, 0.96, 0.004, 0].map(percent)).toEqual([
      '100 %',
      '99.9 %',
      '99.5 %',
      '96 %',
      'less than 1 %',
      '0 %',
    ])
  })
  it('calls a local day by its name, and an older one with its year', () => {
    expect(spanTold(march, march + dayMs, now, speech)).toBe('Wed 12 Mar')
    // Drawn in whole columns, the day ends some milliseconds later.
    expect(spanTold(march, march + dayMs + 890, now, speech)).toBe('Wed 12 Mar')
    const before = instantOf({ year: 2030, month: 3, day: 12 }, zone)
    expect(spanTold(before, before + 2 * dayMs, now, speech)).toBe('Tue 12 Mar 2030 to Wed 13 Mar 2030')
    expect(spanTold(march + hourMs, march + 2 * hourMs, now, speech)).toBe('Wed 12 Mar, 01:00 to 02:00')
  })
})
