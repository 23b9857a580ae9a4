/** Laws of bringing in: whatever dialect a table is written in, it is read back as it was, or somebody is asked. */
import fc from 'fast-check'
import { Temporal } from 'temporal-polyfill'
import { describe, expect, it } from 'vitest'
import { measured } from '../../gateway/bring/units.ts'
import type { BringPlan } from '../../shared/contract/index.ts'
import { type Dialect, dialect, render, valueText } from './dialect.ts'
import { guessed, type NewReading, readAll } from './kit.ts'

const steps = fc.constantFrom(1, 10, 60, 300, 600, 3_600, 21_600).map((s) => s * 1_000)
const begin = fc.integer({ min: Date.UTC(2019, 0, 1) / 1_000, max: Date.UTC(2026, 9, 1) / 1_000 }).map((s) => s * 1_000)
const rowsOf = (channels: number) =>
  fc
    .record({
      begin,
      step: steps,
      values: fc.array(fc.array(fc.integer({ min: 1, max: 1_700_000 }), { minLength: channels, maxLength: channels }), {
        minLength: 2,
        maxLength: 40,
      }),
    })
    .map(({ begin, step, values }) =>
      values.map((row, i) => ({ localMs: begin + i * step, values: row.map((thousandths) => thousandths / 1_000) })),
    )

/** What the person at the desk answers, who knows how the logger writes. */
function answered(plan: BringPlan, d: Dialect): BringPlan {
  const answers: BringPlan = { ...plan, ask: [], time: { ...plan.time } }
  if (plan.ask.includes('date-order')) answers.time.order = d.order
  if (plan.ask.includes('decimal')) answers.decimal = d.decimal
  return answers
}

/** Readings in the order of time, of each channel. */
function valuesOf(readings: readonly NewReading[]): [number, number][][] {
  const series = [...new Set(readings.map((r) => r.series))]
  return series.map((s) =>
    readings
      .filter((r) => r.series === s)
      .map((r): [number, number] => [r.measuredAt, r.value])
      .sort((a, b) => a[0] - b[0]),
  )
}

describe('a table in any dialect', () => {
  it('is read back as it was written, or somebody is asked first', async () => {
    const table = fc.integer({ min: 1, max: 3 }).chain(rowsOf)
    await fc.assert(
      fc.asyncProperty(table, dialect, fc.integer({ min: 1, max: 4_000 }), async (rows, d, pieceBytes) => {
        const bytes = render(rows, d)
        const { plan } = guessed(bytes, 'law.csv', 'UTC')
        const { readings, result } = await readAll(bytes, answered(plan, d), { pieceBytes })
        expect(result.unreadable.first).toEqual([])
        const meant = (v: number) => measured('temperature', Number(v.toFixed(d.digits)), d.unit).value
        const channels = rows[0]?.values.map((_, c) =>
          rows.map(({ localMs, values }): [number, number] => [localMs, meant(values[c] as number)]),
        )
        expect(valuesOf(readings)).toEqual(channels)
      }),
      { numRuns: 400 },
    )
  })

  it('never needs an answer where a day past the 12th and a decimal of one digit tell', () => {
    fc.assert(
      fc.property(dialect, (free) => {
        const d: Dialect = { ...free, digits: 1, grouped: false, shortYear: false }
        const rows = [13, 14, 15].map((day) => ({ localMs: Date.UTC(2026, 2, day, 10), values: [20 + day / 10] }))
        expect(guessed(render(rows, d), 'law.csv', 'UTC').plan.ask).toEqual([])
      }),
    )
  })
})

describe('the night on which the clock goes back', () => {
  const nights = [
    { zone: 'Europe/London', noonBefore: '2026-10-24T12:00' },
    { zone: 'America/New_York', noonBefore: '2026-10-31T12:00' },
  ]
  it.each(nights)(
    'is told apart by the order of the lines in $zone, forward and backward',
    async ({ zone, noonBefore }) => {
      const noon = Temporal.PlainDateTime.from(noonBefore).toZonedDateTime(zone).epochMilliseconds
      await fc.assert(
        fc.asyncProperty(
          fc.integer({ min: 1, max: 59 }),
          fc.integer({ min: 0, max: 59 }),
          dialect,
          async (minutes, offset, free) => {
            const d: Dialect = { ...free, order: 'ymd', shortYear: false, digits: 1, decimal: '.', grouped: false }
            const instants = Array.from(
              { length: Math.floor(1_440 / minutes) },
              (_, i) => noon + (offset + i * minutes) * 60_000,
            )
            const rows = instants.map((at, i) => {
              const wall = Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(zone).toPlainDateTime()
              return { localMs: wall.toZonedDateTime('UTC').epochMilliseconds, values: [20 + (i % 7) / 10] }
            })
            const bytes = render(rows, d)
            const { readings, result } = await readAll(bytes, guessed(bytes, 'night.csv', zone).plan)
            expect(readings.map((r) => r.measuredAt).sort((a, b) => a - b)).toEqual(instants)
            expect(result.clock.twice.assumed).toBe(0)
            expect(result.clock.twice.told).toBeGreaterThan(0)
          },
        ),
        { numRuns: 60 },
      )
    },
  )

  it('is said to be a guess where the table begins within the hour that is twice', async () => {
    const bytes = Buffer.from('time,temp C\n2026-10-25 01:10,10\n2026-10-25 01:20,11\n2026-10-25 02:00,12\n')
    const { readings, result } = await readAll(bytes, guessed(bytes, 'night.csv').plan)
    expect(readings.map((r) => new Date(r.measuredAt).toISOString())).toEqual([
      '2026-10-25T00:10:00.000Z',
      '2026-10-25T00:20:00.000Z',
      '2026-10-25T02:00:00.000Z',
    ])
    expect(result.clock.twice).toMatchObject({ told: 0, assumed: 2 })
    expect(result.clock.twice.first.map((t) => t.line)).toEqual([2, 3])
    expect(result.remarks.join(' ')).toContain('an hour that was twice')
  })
})

it('a number is written and read alike with every mark', () => {
  const d = { decimal: ',', digits: 2, grouped: true } as Dialect
  expect(valueText(1_234.5, d)).toBe('1.234,50')
})
