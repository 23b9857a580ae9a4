/** The site's local time: where its hours, days, nights, months and years begin, as instants. */
import { Temporal } from 'temporal-polyfill'
import type { EpochMs } from '../shared/time.ts'

export type PeriodKind = 'hour' | 'day' | 'night' | 'month' | 'year'

/**
 * Edges of the local periods that hold `from` ≤ t < `to`, rising: one more than there are periods. A night runs from noon to noon; a day
 * has 23 or 25 hours where clocks change. Throws RangeError where there would be more than `periodsMax`, or for an unknown zone.
 */
export function periodEdges(
  timeZone: string,
  by: PeriodKind,
  from: EpochMs,
  to: EpochMs,
  periodsMax: number,
): EpochMs[] {
  let at = beginOf(Temporal.Instant.fromEpochMilliseconds(from).toZonedDateTimeISO(timeZone), by)
  const edges = [at.epochMilliseconds]
  for (let i = 1; at.epochMilliseconds < to; i++) {
    if (i > periodsMax) throw new RangeError(`The span has more than ${periodsMax} ${by}s.`)
    at = nextOf(at, by)
    edges.push(at.epochMilliseconds)
  }
  return edges
}

/** The night that begins on this local date: noon to noon, and the dark hours in it. Throws RangeError where there is no such date. */
export function nightOf(
  timeZone: string,
  date: string,
  hours: { dusk: string; dawn: string },
): { from: EpochMs; to: EpochMs; dusk: EpochMs; dawn: EpochMs } {
  const day = Temporal.PlainDate.from(date, { overflow: 'reject' })
  const next = day.add({ days: 1 })
  const at = (one: Temporal.PlainDate, plainTime: string) =>
    one.toZonedDateTime({ timeZone, plainTime }).epochMilliseconds
  return { from: at(day, '12:00'), to: at(next, '12:00'), dusk: at(day, hours.dusk), dawn: at(next, hours.dawn) }
}

/**
 * The first instant of a local date at or after this time of day: where clocks skip it, the instant at which they do; where it comes twice,
 * the first. `daysOn` days after the date. Throws RangeError where there is no such date.
 */
export function firstInstantAt(timeZone: string, date: string, daysOn: number, timeOfDay: string): EpochMs {
  const day = Temporal.PlainDate.from(date, { overflow: 'reject' }).add({ days: daysOn })
  const asked = day.toPlainDateTime(timeOfDay)
  const found = asked.toZonedDateTime(timeZone, { disambiguation: 'compatible' })
  if (found.toPlainDateTime().equals(asked)) return found.epochMilliseconds
  return found.getTimeZoneTransition('previous')?.epochMilliseconds ?? found.epochMilliseconds
}

/** The local date so many days on. */
export function dateBeside(date: string, days: number): string {
  return Temporal.PlainDate.from(date).add({ days }).toString()
}

/** The local date on which the night around this instant began. */
export function nightDateOf(timeZone: string, at: EpochMs): string {
  return beginOf(Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(timeZone), 'night')
    .toPlainDate()
    .toString()
}

/** Days and longer follow the calendar; a day begins where the zone says it does, which need not be at midnight. */
function nextOf(at: Temporal.ZonedDateTime, by: PeriodKind): Temporal.ZonedDateTime {
  const date = at.toPlainDate()
  const timeZone = at.timeZoneId
  switch (by) {
    case 'hour':
      return at.add({ hours: 1 })
    case 'day':
      return date.add({ days: 1 }).toZonedDateTime(timeZone)
    case 'night':
      return date.add({ days: 1 }).toZonedDateTime({ timeZone, plainTime: '12:00' })
    case 'month':
      return date.add({ months: 1 }).toZonedDateTime(timeZone)
    case 'year':
      return date.add({ years: 1 }).toZonedDateTime(timeZone)
  }
}

function beginOf(at: Temporal.ZonedDateTime, by: PeriodKind): Temporal.ZonedDateTime {
  switch (by) {
    case 'hour':
      return at.round({ smallestUnit: 'hour', roundingMode: 'floor' })
    case 'day':
      return at.startOfDay()
    case 'night': {
      const noon = at.withPlainTime('12:00')
      return Temporal.ZonedDateTime.compare(noon, at) > 0 ? noon.subtract({ days: 1 }) : noon
    }
    case 'month':
      return at.with({ day: 1 }).startOfDay()
    case 'year':
      return at.with({ month: 1, day: 1 }).startOfDay()
  }
}
