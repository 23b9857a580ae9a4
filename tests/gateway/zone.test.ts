/** Local periods, against what the runtime's own calendar (Intl, from the IANA time zone database) says of each edge. */
import { describe, expect, test } from 'vitest'
import { nightDateOf, nightOf, periodEdges } from '../../gateway/zone.ts'
import { dayMs, hourMs } from '../../shared/time.ts'

const at = (text: string) => Date.parse(text)

function local(t: number, timeZone: string): string {
  const format = new Intl.DateTimeFormat('sv-SE', { timeZone, dateStyle: 'short', timeStyle: 'medium' })
  return format.format(t)
}

const lengths = (edges: readonly number[]) => edges.slice(1).map((edge, i) => (edge - (edges[i] as number)) / hourMs)

describe('local periods', () => {
  test('a day has 23 hours in spring and 25 in autumn, and begins at local midnight', () => {
    const spring = periodEdges('Europe/London', 'day', at('2026-03-28T12:00Z'), at('2026-03-31T00:00+01:00'), 10)
    expect(lengths(spring)).toEqual([24, 23, 24])
    const autumn = periodEdges('America/New_York', 'day', at('2026-10-31T12:00Z'), at('2026-11-02T12:00Z'), 10)
    expect(lengths(autumn)).toEqual([24, 25, 24])
    for (const edge of autumn) expect(local(edge, 'America/New_York')).toMatch(/00:00:00$/)
  })

  test('a night runs from noon to noon, also over a change of clocks', () => {
    const edges = periodEdges('Europe/London', 'night', at('2026-03-29T01:30Z'), at('2026-03-30T20:00Z'), 10)
    expect(edges.map((edge) => local(edge, 'Europe/London'))).toEqual([
      '2026-03-28 12:00:00',
      '2026-03-29 12:00:00',
      '2026-03-30 12:00:00',
      '2026-03-31 12:00:00',
    ])
    expect(lengths(edges)).toEqual([23, 24, 24])
    expect(periodEdges('Europe/London', 'night', at('2026-03-28T12:00Z'), at('2026-03-28T13:00Z'), 10)[0]).toBe(
      at('2026-03-28T12:00Z'),
    )
  })

  test('where clocks change at midnight the day begins when the zone says, and the next one at midnight again', () => {
    const edges = periodEdges('America/Sao_Paulo', 'day', at('2018-11-03T12:00Z'), at('2018-11-05T12:00Z'), 10)
    expect(edges.map((edge) => local(edge, 'America/Sao_Paulo'))).toEqual([
      '2018-11-03 00:00:00',
      '2018-11-04 01:00:00',
      '2018-11-05 00:00:00',
      '2018-11-06 00:00:00',
    ])
  })

  test('months and years begin on their first day, in local time', () => {
    const zone = 'Pacific/Auckland'
    const months = periodEdges(zone, 'month', at('2024-01-31T12:00Z'), at('2024-12-31T12:00Z'), 20)
    for (const edge of months) expect(local(edge, zone)).toMatch(/-01 00:00:00$/)
    expect(months).toHaveLength(13)
    const years = periodEdges(zone, 'year', at('2023-06-01T00:00Z'), at('2025-06-01T00:00Z'), 20)
    expect(years.map((edge) => local(edge, zone).slice(0, 10))).toEqual([
      '2023-01-01',
      '2024-01-01',
      '2025-01-01',
      '2026-01-01',
    ])
  })

  test('hours are hours, and there is no end of a span that is left out', () => {
    const hours = periodEdges('Asia/Kathmandu', 'hour', at('2026-01-01T00:20Z'), at('2026-01-01T02:20Z'), 10)
    expect(new Set(lengths(hours))).toEqual(new Set([1]))
    expect(local(hours[0] as number, 'Asia/Kathmandu')).toMatch(/:00:00$/)
    expect(hours[0]).toBeLessThanOrEqual(at('2026-01-01T00:20Z'))
    expect(hours.at(-1)).toBeGreaterThanOrEqual(at('2026-01-01T02:20Z'))
  })

  test('more periods than may be asked for are refused, and so is a zone that does not exist', () => {
    expect(() => periodEdges('UTC', 'hour', 0, 100 * dayMs, 100)).toThrow('more than 100 hours')
    expect(() => periodEdges('Europe/Nowhere', 'day', 0, dayMs, 100)).toThrow(RangeError)
  })
})

describe('a night', () => {
  const hours = { dusk: '17:30', dawn: '07:30' }
  test.each([
    ['Europe/London', '2026-03-28', 23],
    ['Europe/London', '2026-10-24', 25],
    ['America/New_York', '2026-03-07', 23],
    ['America/New_York', '2026-10-31', 25],
    ['Europe/London', '2026-06-10', 24],
  ])('of %s that begins on %s has %i hours, and its dusk and dawn by the clock on the wall', (zone, date, length) => {
    const night = nightOf(zone, date, hours)
    expect((night.to - night.from) / hourMs).toBe(length)
    expect([night.from, night.dusk, night.dawn, night.to].map((t) => local(t, zone).slice(11))).toEqual([
      '12:00:00',
      '17:30:00',
      '07:30:00',
      '12:00:00',
    ])
    expect((night.dawn - night.dusk) / hourMs).toBe(length - 10)
    for (const t of [night.from, night.dusk, night.dawn, night.to - 1]) expect(nightDateOf(zone, t)).toBe(date)
    expect(nightDateOf(zone, night.to)).not.toBe(date)
  })

  test('of a date that no calendar has is refused', () => {
    expect(() => nightOf('Europe/London', '2026-02-30', hours)).toThrow(RangeError)
  })
})
