/** Sums over time are those of the straight lines between the readings, of what was seen only, and add up wherever they are cut. */
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import type { Sample } from '../../shared/series/columns.ts'
import { type Band, bandStep, type Statistics, statistics } from '../../shared/series/statistics.ts'

const noon = 1_750_000_000_000
const minute = 60_000
const silenceMs = 5 * minute
const open: Band = { from: null, to: null }

function sum(
  samples: readonly Sample[],
  from: number,
  to: number,
  band: Band = open,
  pieceRows = 1_000,
  silence = silenceMs,
): Statistics {
  const fold = statistics(from, to, band, silence)
  for (let i = 0; i < samples.length; i += pieceRows) {
    const piece = samples.slice(i, i + pieceRows)
    fold.add({ t: piece.map((s) => s.t), v: piece.map((s) => s.v), quality: piece.map((s) => (s.good ? 0 : 2)) })
  }
  return fold.finish()
}

/** One reading a minute from noon on. */
function everyMinute(...values: number[]): Sample[] {
  return values.map((v, i) => ({ t: noon + i * minute, v, good: true }))
}

function closeTo(actual: number | null | undefined, expected: number): void {
  expect(Math.abs((actual as number) - expected)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(expected)))
}

describe('closed forms', () => {
  test('a ramp from 20 to 80 in an hour, limits 35 and 65: half the time in band, each end a triangle', () => {
    const ramp = everyMinute(...Array.from({ length: 61 }, (_, i) => 20 + i))
    const all = sum(ramp, noon, noon + 60 * minute, { from: 35, to: 65 })
    closeTo(all.inBandMs, 30 * minute)
    closeTo(all.mean, 50)
    closeTo(all.beyond, 2 * ((15 * 15) / 2))
    expect([all.min, all.max, all.coverage, all.holes]).toEqual([20, 80, 1, []])
    expect(all.excursions).toMatchObject([
      { side: 'below', from: noon, to: noon + 15 * minute, beginSeen: false, endSeen: true, peak: 20, peakAt: noon },
      {
        side: 'above',
        from: noon + 45 * minute,
        to: noon + 60 * minute,
        beginSeen: true,
        endSeen: false,
        peak: 80,
        peakAt: noon + 60 * minute,
      },
    ])
    for (const excursion of all.excursions) closeTo(excursion.beyond, 112.5)
  })

  test('a ramp read only twice gives the same sums: the crossings are interpolated', () => {
    const twice: Sample[] = [
      { t: noon, v: 20, good: true },
      { t: noon + 60 * minute, v: 80, good: true },
    ]
    const all = sum(twice, noon, noon + 60 * minute, { from: 35, to: 65 }, 1, 60 * minute)
    closeTo(all.inBandMs, 30 * minute)
    closeTo(all.beyond, 225)
    closeTo((all.excursions[1]?.from ?? 0) - noon, 45 * minute)
  })

  test('one lobe of a sampled sine: its exact sum of chords, crossings and peak', () => {
    const n = 240
    const sine: Sample[] = Array.from({ length: 2 * n + 1 }, (_, i) => ({
      t: noon + i * 10_000,
      v: 22 + 3 * Math.sin((Math.PI * i) / n),
      good: true,
    }))
    const all = sum(sine, noon, noon + 2 * n * 10_000, { from: 0, to: 22 })
    // The trapezoids under sin over half a turn in n steps sum to cot(π / 2n) steps.
    const lobe = (3 * 10_000) / Math.tan(Math.PI / (2 * n)) / minute
    closeTo(all.excursions[0]?.beyond, lobe)
    closeTo(all.excursions[0]?.peak, 25)
    expect(all.excursions[0]).toMatchObject({
      side: 'above',
      from: noon,
      beginSeen: true,
      endSeen: true,
      peakAt: noon + (n / 2) * 10_000,
    })
    // The crossing lies on a reading whose sine is 4e-16 by rounding, and an instant at this date is kept to 0.0002 ms.
    expect(Math.abs((all.excursions[0]?.to ?? 0) - noon - n * 10_000)).toBeLessThanOrEqual(0.001)
    closeTo(all.mean, 22)
    // And the chords lie below the curve by less than the known error of the rule: h² (b − a) / 12 × the greatest curvature.
    const smooth = (3 * 2 * n * 10_000) / Math.PI / minute
    const curvature = 3 * (Math.PI / (n * 10_000)) ** 2
    expect(smooth - lobe).toBeGreaterThan(0)
    expect(smooth - lobe).toBeLessThanOrEqual((10_000 ** 2 * n * 10_000 * curvature) / 12 / minute)
  })

  test('a square wave: four minutes high, four low, and a minute on each slope between', () => {
    const square = everyMinute(20, 20, 20, 20, 20, 30, 30, 30, 30, 30, 20)
    const all = sum(square, noon, noon + 10 * minute, { from: 20, to: 25 })
    closeTo(all.beyond, 4 * 5 + 2 * ((0.5 * 5) / 2))
    closeTo(all.inBandMs, 5 * minute)
    closeTo(all.mean, 25)
    expect(all.excursions).toMatchObject([
      { from: noon + 4.5 * minute, to: noon + 9.5 * minute, peak: 30, peakAt: noon + 5 * minute },
    ])
  })
})

describe('seen and unseen', () => {
  test('a silence just at the limit is seen, one longer is a hole: never in band, never in the mean', () => {
    const at = (gapMs: number) =>
      sum(
        [
          { t: noon, v: 20, good: true },
          { t: noon + gapMs, v: 30, good: true },
        ],
        noon,
        noon + gapMs,
        { from: 0, to: 50 },
      )
    expect(at(silenceMs)).toMatchObject({ seenMs: silenceMs, inBandMs: silenceMs, coverage: 1, holes: [], mean: 25 })
    const hole = { from: noon, to: noon + silenceMs + 1 }
    expect(at(silenceMs + 1)).toMatchObject({
      seenMs: 0,
      inBandMs: 0,
      coverage: 0,
      holes: [hole],
      mean: null,
      min: 20,
      max: 20,
    })
  })

  test('a bad reading is unseen with the time on both its sides, and its value counts nowhere', () => {
    const samples = everyMinute(20, 20, 850, 20, 20)
    const broken = samples.map((s, i) => ({ ...s, good: i !== 2 }))
    const all = sum(broken, noon, noon + 4 * minute, { from: 0, to: 50 })
    expect(all).toMatchObject({ seenMs: 2 * minute, coverage: 0.5, max: 20, beyond: 0, excursions: [] })
    expect(all.holes).toEqual([{ from: noon + minute, to: noon + 3 * minute }])
  })

  test('an excursion that runs into a hole is told as two, each with the end that nobody saw', () => {
    const samples = everyMinute(20, 30, 30, 30, 30, 20).map((s, i) => (i < 3 ? s : { ...s, t: s.t + 20 * minute }))
    const all = sum(samples, noon, noon + 25 * minute, { from: null, to: 25 })
    expect(all.excursions.map((e) => [e.from - noon, e.to - noon, e.beginSeen, e.endSeen].join(' '))).toEqual([
      `${0.5 * minute} ${2 * minute} true false`,
      `${23 * minute} ${24.5 * minute} false true`,
    ])
  })

  test('a period without a reading is one hole', () => {
    const nothing = {
      seenMs: 0,
      coverage: 0,
      mean: null,
      min: null,
      max: null,
      holes: [{ from: noon, to: noon + minute }],
      excursions: [],
    }
    expect(sum([], noon, noon + minute)).toMatchObject(nothing)
    expect(() => statistics(noon, noon, open, silenceMs)).toThrow(RangeError)
  })

  test('neighbours outside the period say how the line runs at its edges, and count no further', () => {
    const samples = everyMinute(20, 30, 20)
    const all = sum(samples, noon + 0.5 * minute, noon + 1.5 * minute, { from: null, to: 27.5 })
    expect(all).toMatchObject({ seenMs: minute, coverage: 1, min: 25, max: 30, mean: 27.5 })
    closeTo(all.beyond, (0.5 * 2.5) / 2)
  })
})

describe('excursions', () => {
  test('touching the limit without crossing it does not end one; being within it, however short, does', () => {
    expect(
      sum(everyMinute(20, 30, 25, 30, 20), noon, noon + 4 * minute, { from: null, to: 25 }).excursions,
    ).toHaveLength(1)
    expect(
      sum(everyMinute(20, 30, 24.9, 30, 20), noon, noon + 4 * minute, { from: null, to: 25 }).excursions,
    ).toHaveLength(2)
    expect(sum(everyMinute(20, 25, 25, 20), noon, noon + 3 * minute, { from: 20, to: 25 }).excursions).toEqual([])
  })

  test('a plunge from above to below within one step is one of each side, with the band crossed between them', () => {
    const all = sum(everyMinute(40, 0), noon, noon + minute, { from: 10, to: 30 })
    expect(all.excursions.map((e) => [e.side, e.from - noon, e.to - noon])).toEqual([
      ['above', 0, 0.25 * minute],
      ['below', 0.75 * minute, minute],
    ])
    closeTo(all.inBandMs, 0.5 * minute)
  })
})

describe('laws', () => {
  const anySample = fc.record({
    gapMs: fc.oneof(
      { weight: 9, arbitrary: fc.integer({ min: 1, max: silenceMs }) },
      { weight: 1, arbitrary: fc.integer({ min: silenceMs + 1, max: 9 * silenceMs }) },
    ),
    v: fc.oneof(fc.integer({ min: 18, max: 27 }), fc.double({ min: -50, max: 150, noNaN: true })),
    good: fc.oneof({ weight: 9, arbitrary: fc.constant(true) }, { weight: 1, arbitrary: fc.constant(false) }),
  })
  const anySeries = fc.array(anySample, { minLength: 2, maxLength: 40 }).map((steps) => {
    let t = noon
    return steps.map(({ gapMs, v, good }): Sample => {
      t += gapMs
      return { t, v, good }
    })
  })
  const band: Band = { from: 20, to: 25 }
  const near = (a: number, b: number, scale: number) =>
    expect(Math.abs(a - b)).toBeLessThanOrEqual(1e-9 * Math.max(1, scale))

  test('a period cut anywhere gives two parts that add up to the whole', () => {
    fc.assert(
      fc.property(anySeries, fc.double({ min: 0.001, max: 0.999, noNaN: true }), (samples, share) => {
        const from = (samples[0] as Sample).t - minute
        const to = (samples.at(-1) as Sample).t + minute
        const cut = from + Math.max(1, Math.round((to - from) * share))
        const [whole, first, second] = [
          sum(samples, from, to, band),
          sum(samples, from, cut, band),
          sum(samples, cut, to, band),
        ]
        near(first.seenMs + second.seenMs, whole.seenMs, whole.periodMs)
        near(first.inBandMs + second.inBandMs, whole.inBandMs, whole.periodMs)
        near(first.beyond + second.beyond, whole.beyond, whole.beyond)
        near(
          (first.mean ?? 0) * first.seenMs + (second.mean ?? 0) * second.seenMs,
          (whole.mean ?? 0) * whole.seenMs,
          150 * whole.periodMs,
        )
        near(Math.min(first.min ?? 1e9, second.min ?? 1e9), whole.min ?? 1e9, 150)
        near(Math.max(first.max ?? -1e9, second.max ?? -1e9), whole.max ?? -1e9, 150)
      }),
      { numRuns: 300 },
    )
  })

  test('seen time and holes make up the period, excursions and time in band the seen time, in order and without overlap', () => {
    fc.assert(
      fc.property(anySeries, fc.integer({ min: 1, max: 9 }), (samples, pieceRows) => {
        const [from, to] = [noon - minute, (samples.at(-1) as Sample).t + minute]
        const all = sum(samples, from, to, band, pieceRows)
        const length = (spans: readonly { from: number; to: number }[]) =>
          spans.reduce((ms, span) => ms + span.to - span.from, 0)
        expect(all.seenMs + length(all.holes)).toBe(all.periodMs)
        // Instants are kept to about 0.0002 ms at this date, so each crossing may be off by as much.
        expect(Math.abs(all.inBandMs + length(all.excursions) - all.seenMs)).toBeLessThanOrEqual(
          0.001 * (1 + all.excursions.length),
        )
        near(
          all.excursions.reduce((area, e) => area + e.beyond, 0),
          all.beyond,
          all.beyond,
        )
        const spans = [...all.holes, ...all.excursions].sort((a, b) => a.from - b.from)
        spans.forEach((span, i) => expect(span.from).toBeGreaterThanOrEqual((spans[i - 1]?.to ?? from) - 0.001))
        expect(sum(samples, from, to, band, 1_000)).toEqual(all)
      }),
      { numRuns: 300 },
    )
  })

  test('the steps that the judge adds one by one are those of the whole', () => {
    fc.assert(
      fc.property(anySeries, (samples) => {
        const total = { seenMs: 0, inBandMs: 0, beyond: 0 }
        samples.slice(1).forEach((next, i) => {
          const step = bandStep(samples[i] as Sample, next, band.from, band.to, silenceMs)
          for (const key of ['seenMs', 'inBandMs', 'beyond'] as const) total[key] += step[key]
        })
        const all = sum(samples, (samples[0] as Sample).t, (samples.at(-1) as Sample).t, band)
        expect({ seenMs: all.seenMs, inBandMs: all.inBandMs, beyond: all.beyond }).toEqual(total)
      }),
    )
  })

  test('a reading put on the line between two others changes nothing', () => {
    const pair = fc.record({
      a: fc.integer({ min: 0, max: 50 }),
      b: fc.integer({ min: 0, max: 50 }),
      gapMs: fc.integer({ min: 2, max: silenceMs }),
      at: fc.double({ min: 0, max: 1, noNaN: true }),
    })
    fc.assert(
      fc.property(pair, ({ a, b, gapMs, at }) => {
        const begin: Sample = { t: 0, v: a, good: true }
        const end: Sample = { t: gapMs, v: b, good: true }
        const middle: Sample = { t: at * gapMs, v: a + at * (b - a), good: true }
        const whole = bandStep(begin, end, 20, 25, silenceMs)
        const [first, second] = [bandStep(begin, middle, 20, 25, silenceMs), bandStep(middle, end, 20, 25, silenceMs)]
        for (const key of ['seenMs', 'inBandMs', 'beyond'] as const)
          near(first[key] + second[key], whole[key], key === 'beyond' ? 250 : gapMs)
      }),
      { numRuns: 500 },
    )
  })
})
