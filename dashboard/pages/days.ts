/** The instants at which days begin in the foundry, for fields in which a day is chosen. */
import type { EpochMs } from '../../shared/time.ts'

const faces = new Map<string, Intl.DateTimeFormat>()

function wallMs(at: EpochMs, timeZone: string): number {
  let face = faces.get(timeZone)
  if (!face) {
    face = new Intl.DateTimeFormat('en-GB', {
      timeZone,
      hourCycle: 'h23',
      year: 'numeric',
      month: '2-digit',
      day: '2-digit',
      hour: '2-digit',
      minute: '2-digit',
      second: '2-digit',
    })
    faces.set(timeZone, face)
  }
  const part = Object.fromEntries(face.formatToParts(at).map((p) => [p.type, Number(p.value)]))
  const { year = 1970, month = 1, day = 1, hour = 0, minute = 0, second = 0 } = part
  return Date.UTC(year, month - 1, day, hour, minute, second)
}

/** The instant at which this date (`2026-03-29`) begins; where the clock leaps over midnight, the first one after. */
export function dayBegins(date: string, timeZone: string): EpochMs {
  const wanted = Date.parse(`${date}T00:00:00Z`)
  // The offset before and after a change of clocks may differ: the second look is made where the first one led.
  const first = wanted - (wallMs(wanted, timeZone) - wanted)
  return wanted - (wallMs(first, timeZone) - first)
}

/** The date of an instant in the foundry, as a field for dates holds it. */
export function dateOf(at: EpochMs, timeZone: string): string {
  return new Date(wallMs(Math.floor(at / 1_000) * 1_000, timeZone)).toISOString().slice(0, 10)
}

export function nextDate(date: string): string {
  return new Date(Date.parse(`${date}T00:00:00Z`) + 86_400_000).toISOString().slice(0, 10)
}
