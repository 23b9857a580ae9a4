/** The mail of the night has an hour of the site: once a night, all the year round, whatever the clocks do. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { dueAtOf, nextDueAt, nightsDue, stillTo } from '../../gateway/mail/due.ts'
import { firstInstantAt, nightDateOf } from '../../gateway/zone.ts'
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts'

const night = { dusk: '17:30', dawn: '07:30' }
const early = { dusk: '22:00', dawn: '00:30' }
const london = 'Europe/London'
const newYork = 'America/New_York'
const iso = (t: number) => new Date(t).toISOString()

describe('the hour of the mail', () => {
  it('is that of the site on the morning after, summer and winter', () => {
    expect(iso(dueAtOf({ timeZone: london, night, at: '08:00' }, '2026-07-01'))).toBe('2026-07-02T07:00:00.000Z')
    expect(iso(dueAtOf({ timeZone: london, night, at: '08:00' }, '2026-12-01'))).toBe('2026-12-02T08:00:00.000Z')
    expect(iso(dueAtOf({ timeZone: newYork, night, at: '08:00' }, '2026-12-01'))).toBe('2026-12-02T13:00:00.000Z')
  })

  it('is never before dawn: the night is not over', () => {
    expect(iso(dueAtOf({ timeZone: london, night, at: '07:00' }, '2026-12-01'))).toBe('2026-12-02T07:30:00.000Z')
  })

  it('where clocks skip it, falls on the next instant that there is', () => {
    expect(iso(firstInstantAt(london, '2026-03-28', 1, '01:30'))).toBe('2026-03-29T01:00:00.000Z')
    expect(iso(firstInstantAt(newYork, '2026-03-07', 1, '02:15'))).toBe('2026-03-08T07:00:00.000Z')
    expect(iso(dueAtOf({ timeZone: london, night: early, at: '01:30' }, '2026-03-28'))).toBe('2026-03-29T01:00:00.000Z')
  })

  it('where it comes twice, is the first', () => {
    expect(iso(firstInstantAt(london, '2026-10-24', 1, '01:30'))).toBe('2026-10-25T00:30:00.000Z')
    expect(iso(firstInstantAt(newYork, '2026-10-31', 1, '01:30'))).toBe('2026-11-01T05:30:00.000Z')
  })
})

/** Looked every four hours, and every half hour in the weeks of the changes of either zone. */
const stepAt = (now: number): number => {
  const day = new Date(now).toISOString().slice(5, 10)
  const isNear = (day >= '03-05' && day <= '03-31') || (day >= '10-22' && day <= '11-03')
  return isNear ? 30 * minuteMs : 4 * hourMs
}

describe('a year of looking now and then', () => {
  const times = fc.tuple(fc.integer({ min: 0, max: 23 }), fc.integer({ min: 0, max: 59 }))
  const at = times.map(([h, m]) => `${String(h).padStart(2, '0')}:${String(m).padStart(2, '0')}`)
  // The hours of the changes come often, because that is where it goes wrong.
  const hours = fc.oneof(at, fc.constantFrom('00:59', '01:00', '01:30', '02:00', '02:15', '02:30', '03:00'))

  it.each([[london], [newYork]])('mails every night of %s once, at or after its hour and within it', (timeZone) => {
    fc.assert(
      fc.property(hours, fc.constantFrom(night, early), fc.integer({ min: 0, max: 29 }), (hour, dark, offset) => {
        const when = { timeZone, night: dark, at: hour }
        const sent = new Map<string, number>()
        const begin = Date.UTC(2026, 0, 1, 12) + offset * minuteMs
        for (let now = begin; now < begin + 366 * dayMs; now += stepAt(now)) {
          const due = nightsDue(when, now).find(({ date }) => !sent.has(date))
          if (due === undefined) continue
          expect(now).toBeGreaterThanOrEqual(due.dueAt)
          sent.set(due.date, now)
          if (sent.size > 2) expect(now - due.dueAt).toBeLessThanOrEqual(4 * hourMs)
        }
        const dates = [...sent.keys()]
        for (let i = 1; i < dates.length; i++)
          expect(Date.parse(dates[i] as string) - Date.parse(dates[i - 1] as string)).toBe(dayMs)
        expect(dates.length).toBeGreaterThanOrEqual(365)
      }),
      { numRuns: 4 },
    )
  })

  it('the next one is always to come, and within 25 hours', () => {
    fc.assert(
      fc.property(hours, fc.integer({ min: 0, max: 366 * 24 * 60 }), (hour, minutes) => {
        const now = Date.UTC(2026, 0, 1) + minutes * minuteMs
        const next = nextDueAt({ timeZone: london, night, at: hour }, now)
        expect(next).toBeGreaterThan(now)
        expect(next - now).toBeLessThanOrEqual(25 * hourMs)
      }),
      { numRuns: 300 },
    )
  })
})

describe('a night that is late', () => {
  const when = { timeZone: london, night, at: '08:00' }

  it('is due for a day after its hour and no longer', () => {
    const dueAt = dueAtOf(when, '2026-12-01')
    expect(nightsDue(when, dueAt - 1).map(({ date }) => date)).toEqual(['2026-11-30'])
    expect(nightsDue(when, dueAt + dayMs - 1).map(({ date }) => date)).toEqual(['2026-12-01'])
    expect(nightsDue(when, dueAt + dayMs).map(({ date }) => date)).toEqual(['2026-12-02'])
    expect(nightDateOf(london, dueAt)).toBe('2026-12-01')
  })

  it('goes to those who wait for it and are still in the settings', () => {
    const mailed = { taken: ['a@x'], waiting: ['b@x', 'c@x'], refused: [] }
    expect(stillTo(['a@x', 'c@x', 'new@x'], mailed)).toEqual(['c@x'])
    expect(stillTo(['a@x', 'b@x'], undefined)).toEqual(['a@x', 'b@x'])
  })
})
