/** Days, months and years of the foundry's own zone, and the instants at which they begin. */
import type { EpochMs } from '../../shared/time.ts'
import { zoneOffsetMs } from './night.ts'

export interface LocalDate {
  year: number
  /** 1 … 12. */
  month: number
  day: number
}

export function localDate(at: EpochMs, timeZone: string): LocalDate {
  const local = new Date(at + zoneOffsetMs(at, timeZone))
  return { year: local.getUTCFullYear(), month: local.getUTCMonth() + 1, day: local.getUTCDate() }
}

/** Monday is 0. */
export function weekdayOf({ year, month, day }: LocalDate): number {
  return (new Date(Date.UTC(year, month - 1, day)).getUTCDay() + 6) % 7
}

/** The instant of a local date and time of day; months and days may overflow. Where clocks jump over it, shortly after. */
export function instantOf({ year, month, day }: LocalDate, timeZone: string, timeOfDayMs = 0): EpochMs {
  const wall = Date.UTC(year, month - 1, day) + timeOfDayMs
  const guess = wall - zoneOffsetMs(wall, timeZone)
  return wall - zoneOffsetMs(guess, timeZone)
}

/** The same time of day so many months or days earlier; the 31st becomes the last of a shorter month. */
export function earlier(at: EpochMs, by: { months?: number; days?: number }, timeZone: string): EpochMs {
  const date = localDate(at, timeZone)
  const timeOfDayMs = at + zoneOffsetMs(at, timeZone) - Date.UTC(date.year, date.month - 1, date.day)
  const month = date.month - (by.months ?? 0)
  const lastDay = new Date(Date.UTC(date.year, month, 0)).getUTCDate()
  const day = (by.months ? Math.min(date.day, lastDay) : date.day) - (by.days ?? 0)
  return instantOf({ year: date.year, month, day }, timeZone, timeOfDayMs)
}
