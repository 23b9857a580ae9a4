/** The review of a night against closed forms: what is drawn by the test is what the page tells. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { nightCsv } from '../../gateway/record/night/night-csv.ts'
import { nightReview } from '../../gateway/record/night/review.ts'
import type { Finding, NightLine, NightReview } from '../../shared/contract/index.ts'
import { minuteMs } from '../../shared/time.ts'
import { at, dawn, everyMinute, materialOf, noon, seriesOf, type Told } from './material.ts'

const near = (actual: number | null | undefined, expected: number) =>
  expect(Math.abs((actual ?? Number.NaN) - expected)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(expected)))

/** 22 °C, with a triangle up to `peak` of so many minutes on either side of `middle`. */
const triangle = (peak: number, middle: number, halfMinutes: number) => (t: number) =>
  22 + (peak - 22) * Math.max(0, 1 - Math.abs(t - middle) / (halfMinutes * minuteMs))

const humid = everyMinute(() => 45)

function lineOf(review: NightReview, series: string): NightLine {
  const line = review.rooms.flatMap((r) => r.lines).find((l) => l.series === series)
  if (!line) throw new Error(`There is no ${series}.`)
  return line
}

describe('an excursion', () => {
  it('has its crossings, its peak and its degree-minutes to a billionth, by the triangle that was drawn', () => {
    // From 22 to 26 over 120 min and back: beyond 24 for 120 min, up to 2 °C: 120 degree-minutes.
    const told = everyMinute(triangle(26, at(10), 120))
    const review = nightReview(materialOf([seriesOf('air', 'temperature', told), seriesOf('air', 'humidity', humid)]))
    const line = lineOf(review, 'air.temperature')
    expect(line.band).toEqual({ from: 20, to: 24, owner: { is: 'limits' } })
    const [one] = line.excursions
    expect(line.excursions).toHaveLength(1)
    near(one?.from, at(9))
    near(one?.to, at(11))
    near(one?.beyond, 120)
    expect(one).toMatchObject({ side: 'above', peak: 26, peakAt: at(10), beginSeen: true, endSeen: true, isDark: true })
    near(line.whole.seenMs - (line.whole.inBandMs ?? 0), 120 * minuteMs)
    near(line.dark?.inBandMs, dawn - at(5, 30) - 120 * minuteMs)
    near(line.whole.beyond, 120)
  })

  it('by day is told, but not as the night’s', () => {
    const told = everyMinute(triangle(26, at(2), 30))
    const review = nightReview(materialOf([seriesOf('air', 'temperature', told), seriesOf('air', 'humidity', humid)]))
    expect(lineOf(review, 'air.temperature').excursions.map((e) => e.isDark)).toEqual([false])
    near(lineOf(review, 'air.temperature').dark?.beyond, 0)
  })

  it('is seen by whoever acknowledged its alarm while it lasted, and by nobody else', () => {
    const told = everyMinute(triangle(26, at(10), 120))
    const raised = (id: string, series: string, since: number): Finding =>
      ({
        id,
        kind: 'outside-window',
        station: 'D',
        subject: series,
        since,
        raisedAt: since,
        raisedSeq: 1,
        clearedAt: at(11, 5),
        tier: 'this-shift',
        facts: { quantity: series.split('.')[1], value: 24.2, from: 20, to: 24, side: 'above' },
      }) as Finding
    const findings = [raised('a', 'air.temperature', at(9, 5)), raised('b', 'air.humidity', at(9, 5))]
    const act = (alarm: string, by: string, minutes: number) =>
      ({ kind: 'act', act: 'acknowledge', alarm, by, at: at(9, minutes), seq: 9 }) as const
    const material = materialOf([seriesOf('air', 'temperature', told), seriesOf('air', 'humidity', humid)], {
      findings,
      acts: [act('a', 'Idris', 20), act('b', 'Maren', 21), act('a', 'Late', 900)],
    })
    const review = nightReview(material)
    expect(lineOf(review, 'air.temperature').excursions[0]?.seenBy).toEqual([{ by: 'Idris', at: at(9, 20) }])
    expect(review.alarms.map((a) => [a.subject, a.seenBy.map((s) => s.by)])).toEqual([
      ['air.temperature', ['Idris', 'Late']],
      ['air.humidity', ['Maren']],
    ])
  })
})

describe('what was not seen', () => {
  it('is never in band: a hole counts as a hole, and what came later is told apart from what never came', () => {
    const told = everyMinute(() => 22)
      .filter(({ t }) => t < at(8) || t >= at(9))
      .map((s): Told => (s.t >= at(11) && s.t < at(12) ? { ...s, arrivedAt: at(12) } : s))
    const review = nightReview(materialOf([seriesOf('air', 'temperature', told), seriesOf('air', 'humidity', humid)]))
    const line = lineOf(review, 'air.temperature')
    expect(line.missing.map((h) => [h.from, h.to])).toEqual([[at(7, 59), at(9)]])
    // The newest before noon came a minute and more earlier; the last two minutes of the hour were no backlog.
    expect(line.backfilled.map((h) => h.from)).toEqual([at(11)])
    near(line.whole.coverage, (24 * 60 - 1 - 61) / (24 * 60))
    expect(line.whole.inBandMs).toBe(line.whole.seenMs)
  })

  it('and then came after dawn amends the page, and says what it changed', () => {
    const told = everyMinute(triangle(26, at(10), 120)).map((s) =>
      s.t >= at(8) && s.t < at(12) ? { ...s, arrivedAt: at(20) } : s,
    )
    const material = materialOf([seriesOf('air', 'temperature', told), seriesOf('air', 'humidity', humid)])
    const { amended } = nightReview(material)
    expect(amended).toMatchObject({ readings: 240, firstAt: at(20), lastAt: at(20) })
    expect(amended?.changes).toMatchObject([{ series: 'air.temperature', excursionsFrom: 0, excursionsTo: 1 }])
    near(amended?.changes[0]?.coverageTo, (19.5 * 60) / (19.5 * 60))
    near(amended?.changes[0]?.coverageFrom, (19.5 * 60 - 241) / (19.5 * 60))
    expect(nightReview({ ...material, now: at(19) }).amended).toBeNull()
  })
})

describe('a drying in the room', () => {
  it('is told what the night did to it: out of band by its recipe, unseen, and how far its wax warmed', () => {
    const told = everyMinute(triangle(25.7, at(10), 60)).filter(({ t }) => t < at(14) || t > at(14, 30))
    const wax = everyMinute((t) =>
      t < at(6) ? 21 : t < at(9) ? 16 : 16 + Math.min(7.5, (t - at(9)) / (20 * minuteMs)),
    )
    const run = { id: 'r', kind: 'drying', station: 'D', recipe: 'backup', revision: 1, piece: '9 shells' }
    const review = nightReview(
      materialOf(
        [seriesOf('air', 'temperature', told), seriesOf('air', 'humidity', humid), seriesOf('wax', 'temperature', wax)],
        { runs: [{ ...run, startedAt: at(6), startedBy: 'Asha', endedAt: null, closedBy: null }] },
      ),
    )
    const [piece] = review.rooms[0]?.pieces ?? []
    expect(lineOf(review, 'air.temperature').band?.owner).toEqual({ is: 'recipe', recipe: 'backup', revision: 1 })
    near(piece?.standsMs, 18 * 60 * minuteMs)
    // Above 23.7 of a triangle of 3.7 °C in 60 min: 2 × 60 × 2 / 3.7 minutes.
    near((piece?.seenMs ?? 0) - (piece?.inBandMs ?? 0), ((2 * 60 * 2) / 3.7) * minuteMs)
    near((piece?.standsMs ?? 0) - (piece?.seenMs ?? 0), 32 * minuteMs)
    near(piece?.swingC, 2.5)
    expect(piece).toMatchObject({ swingProbe: 'wax', swingLimitC: 1.7 })
  })
})

describe('the review', () => {
  it('is the same in whatever order readings arrived, but for when they did', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: 600 }), { minLength: 5, maxLength: 40 }),
        fc.integer(),
        (delays, seed) => {
          const course = (t: number) => 22 + 2.5 * Math.sin((t - noon) / (37 * minuteMs) + seed)
          const told = everyMinute(course)
          const late = told.map((s, i) => ({ ...s, arrivedAt: s.t + (delays[i % delays.length] ?? 0) * minuteMs }))
          const tell = (of: Told[]) =>
            lineOf(
              nightReview(materialOf([seriesOf('air', 'temperature', of), seriesOf('air', 'humidity', humid)])),
              'air.temperature',
            )
          const { backfilled: _, ...then } = tell(told)
          const { backfilled: __, ...now } = tell(late)
          expect({ ...now, excursions: now.excursions.map((e) => ({ ...e, cause: null })) }).toEqual({
            ...then,
            excursions: then.excursions.map((e) => ({ ...e, cause: null })),
          })
        },
      ),
      { numRuns: 30 },
    )
  })

  it('of a night without a reading says so, and tells no sum', () => {
    const review = nightReview(materialOf([]))
    expect(review.rooms).toEqual([{ station: 'D', lines: [], causes: [], pieces: [] }])
  })

  it('as a table has a line for each happening, in order, and no cell that a sheet would run', () => {
    const told = everyMinute(triangle(26, at(10), 120))
    const review = nightReview(materialOf([seriesOf('air', 'temperature', told), seriesOf('air', 'humidity', humid)]))
    review.rooms[0]?.lines[0]?.excursions[0]?.seenBy.push({ by: '=HYPERLINK("x")', at: at(9) })
    const [head, ...rows] = nightCsv(review).split('\r\n')
    const first = rows.find((r) => r.includes('excursion'))
    expect(head).toBe('from,to,station,what,subject,side,peak,beyond,cause,seen_by,seen_at')
    expect(first).toContain('D,excursion,air.temperature,above,26,120,')
    expect(first).toContain('" =HYPERLINK(""x"")"')
  })
})
