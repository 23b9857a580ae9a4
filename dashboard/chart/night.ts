/** When the night of the house is: dusk to dawn in the foundry's own zone. */
import type { EpochMs } from '../../shared/time.ts'

const hourMs = 3_600_000
/** Defaults of the house, hours of the day (MEANING). */
const duskHour = 17.5
const dawnHour = 7.5

const faces = new Map<string, Intl.DateTimeFormat>()

/** Made once for each zone: making one costs a hundred times what asking it does. */
function faceOf(timeZone: string): Intl.DateTimeFormat {
  const known = faces.get(timeZone)
  if (known) return known
  const face = new Intl.DateTimeFormat('en-GB', {
    timeZone,
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    hourCycle: 'h23',
  })
  faces.set(timeZone, face)
  return face
}

/** Local minus UTC at this instant, ms; whole minutes. */
export function zoneOffsetMs(at: EpochMs, timeZone: string): number {
  const parts = faceOf(timeZone).formatToParts(at)
  const of = (type: string) => Number(parts.find((part) => part.type === type)?.value ?? 0)
  const local = Date.UTC(of('year'), of('month') - 1, of('day'), of('hour'), of('minute'))
  return local - Math.floor(at / 60_000) * 60_000
}

/** The instant at which this much of the local day has passed, on the day of `at`. */
function onDayOf(at: EpochMs, hours: number, timeZone: string): EpochMs {
  const offset = zoneOffsetMs(at, timeZone)
  const midnight = Math.floor((at + offset) / (24 * hourMs)) * 24 * hourMs
  const guess = midnight + hours * hourMs - offset
  // Between the guess and now the zone may have changed its offset.
  return guess + offset - zoneOffsetMs(guess, timeZone)
}

/** The night that is, or in the day the one that was. */
export function nightAround(now: EpochMs, timeZone: string): { dusk: EpochMs; dawn: EpochMs } {
  const today = onDayOf(now, duskHour, timeZone)
  const dusk = now >= today ? today : onDayOf(now - 24 * hourMs, duskHour, timeZone)
  return { dusk, dawn: onDayOf(dusk + 24 * hourMs, dawnHour, timeZone) }
}
