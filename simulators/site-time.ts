/** The hours of the invented foundry's day, in its own time zone. */
import { type EpochMs, hourMs, minuteMs } from '../shared/time.ts'

const dayMs = 24 * hourMs

export interface SiteTime {
  /** Minutes since local midnight. */
  minuteOfDay(at: EpochMs): number
  /** Minutes since local midnight of `HH:MM`, on the local day of `near`. */
  instant(near: EpochMs, hhmm: string): EpochMs
}

export function minutesOf(hhmm: string): number {
  const [hours = 0, minutes = 0] = hhmm.split(':').map(Number)
  return hours * 60 + minutes
}

/** Zone offsets are asked for once an hour of simulated time; they change on whole hours in every zone used here. */
export function siteTime(zone: string): SiteTime {
  const format = new Intl.DateTimeFormat('en-GB', {
    timeZone: zone,
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
  })
  const known = new Map<number, number>()
  const offsetMs = (at: EpochMs): number => {
    const hour = Math.floor(at / hourMs) * hourMs
    const before = known.get(hour)
    if (before !== undefined) return before
    const part = Object.fromEntries(format.formatToParts(hour).map((p) => [p.type, Number(p.value)]))
    const { year = 0, month = 1, day = 1, hour: h = 0, minute = 0 } = part
    const offset = Date.UTC(year, month - 1, day, h, minute) - hour
    known.set(hour, offset)
    return offset
  }
  return {
    minuteOfDay: (at) => ((((at + offsetMs(at)) % dayMs) + dayMs) % dayMs) / minuteMs,
    instant: (near, hhmm) => {
      const midnight = Math.floor((near + offsetMs(near)) / dayMs) * dayMs
      const wall = midnight + minutesOf(hhmm) * minuteMs
      return wall - offsetMs(wall - offsetMs(near))
    },
  }
}

/** The evening on which the night before `now` began: the latest 17:30 that lies at least 14 hours back, so the night is over. */
export function lastEvening(now: EpochMs, site: SiteTime): EpochMs {
  for (let back = 0; back < 3; back++) {
    const evening = site.instant(now - back * dayMs, '17:30')
    if (evening <= now - 14 * hourMs) return evening
  }
  return site.instant(now - 3 * dayMs, '17:30')
}
