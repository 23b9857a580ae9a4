/** The morning that the dip board is asked for, also where the clocks change before it. */
import { describe, expect, it } from 'vitest'
import { zoneOffsetMs } from '../../dashboard/chart/night.ts'
import { nextMorning } from '../../dashboard/pages/dip-plan.ts'

const morningOf = (now: string, zone: string) =>
  new Date(nextMorning(Date.parse(now), (at) => zoneOffsetMs(at, zone))).toISOString()

describe('the next morning', () => {
  it('is seven of the site', () => {
    expect(morningOf('2026-06-10T20:00:00Z', 'Europe/London')).toBe('2026-06-11T06:00:00.000Z')
    expect(morningOf('2026-06-10T05:59:00Z', 'Europe/London')).toBe('2026-06-10T06:00:00.000Z')
    expect(morningOf('2026-06-10T06:00:00Z', 'Europe/London')).toBe('2026-06-11T06:00:00.000Z')
  })

  it('stays seven where the clocks change in the night', () => {
    expect(morningOf('2026-03-28T22:00:00Z', 'Europe/London')).toBe('2026-03-29T06:00:00.000Z')
    expect(morningOf('2026-10-24T22:00:00Z', 'Europe/London')).toBe('2026-10-25T07:00:00.000Z')
    expect(morningOf('2026-11-01T02:00:00Z', 'America/New_York')).toBe('2026-11-01T12:00:00.000Z')
  })
})
