/** Charts as bytes: what is sent is what is drawn, and what is damaged is refused in a sentence. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type ChartRows, type ChartsHead, decodeCharts, encodeCharts } from '../../shared/contract/index.ts'

const rows = fc.uniqueArray(fc.integer({ min: 0, max: 4e12 }), { maxLength: 40 }).chain((times) =>
  fc
    .array(fc.oneof(fc.double({ noDefaultInfinity: true, noNaN: true }), fc.constant(Number.NaN)), {
      minLength: times.length,
      maxLength: times.length,
    })
    .map((v): ChartRows => ({ t: Float64Array.from(times).sort(), v: Float64Array.from(v) })),
)
const named = fc.record({ series: fc.string({ unit: 'grapheme', maxLength: 20 }), rows })

function headFor(charts: { series: string; rows: ChartRows }[]): ChartsHead {
  return {
    from: 0,
    to: 4e12,
    columns: 1_000,
    seq: 12,
    charts: charts.map(({ series, rows: { t } }) => ({
      series,
      silenceMs: 30_000,
      readings: t.length,
      points: t.length,
    })),
  }
}
const encoded = (charts: { series: string; rows: ChartRows }[]) =>
  encodeCharts(
    headFor(charts),
    charts.map((chart) => chart.rows),
  )

describe('charts as bytes', () => {
  it('arrive as they were sent, holes and names in any script included', () => {
    fc.assert(
      fc.property(fc.array(named, { maxLength: 6 }), (charts) => {
        const { head, rows: back } = decodeCharts(encoded(charts).buffer)
        expect(head).toEqual(headFor(charts))
        back.forEach((one, i) => {
          expect([...one.t]).toEqual([...(charts[i]?.rows.t ?? [])])
          expect([...one.v]).toEqual([...(charts[i]?.rows.v ?? [])])
        })
      }),
    )
  })

  it('are drawn from the bytes as they came, without a copy', () => {
    const bytes = encoded([{ series: 'a.temperature', rows: { t: Float64Array.of(1, 2), v: Float64Array.of(3, 4) } }])
    expect(decodeCharts(bytes.buffer).rows[0]?.v.buffer).toBe(bytes.buffer)
  })

  it('are refused in one sentence when cut off anywhere', () => {
    fc.assert(
      fc.property(
        fc.array(named, { minLength: 1, maxLength: 3 }),
        fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true }),
        (charts, part) => {
          const bytes = encoded(charts)
          expect(() => decodeCharts(bytes.buffer.slice(0, Math.floor(part * bytes.length)))).toThrow(
            /^The charts did not arrive whole: .*\.$/s,
          )
        },
      ),
    )
  })

  it('never become anything but rising times and finite values or holes, whatever the bytes', () => {
    const scribbled = fc.tuple(
      fc.array(named, { minLength: 1, maxLength: 2 }),
      fc.nat(),
      fc.integer({ min: 0, max: 255 }),
    )
    fc.assert(
      fc.property(scribbled, ([charts, place, byte]) => {
        const bytes = encoded(charts)
        bytes[place % bytes.length] = byte
        try {
          for (const { t, v } of decodeCharts(bytes.buffer).rows) {
            expect(t.every((at, i) => Number.isFinite(at) && (i === 0 || at > (t[i - 1] as number)))).toBe(true)
            expect(v.every((value) => Math.abs(value) !== Number.POSITIVE_INFINITY)).toBe(true)
          }
        } catch (error) {
          expect(String(error)).toMatch(/The charts did not arrive whole: .*\./s)
        }
      }),
      { numRuns: 2_000 },
    )
  })

  it('are not sent at all when head and rows tell different stories', () => {
    const head = headFor([{ series: 'a', rows: { t: Float64Array.of(1), v: Float64Array.of(1) } }])
    expect(() => encodeCharts(head, [])).toThrow(/1 charts, and rows came of 0/)
    expect(() => encodeCharts(head, [{ t: Float64Array.of(1, 2), v: Float64Array.of(1) }])).toThrow(
      /should have 1 rows/,
    )
  })
})
