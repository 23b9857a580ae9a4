/** When the mail of a night is due: rules over local dates, and over what the journal says of each night. Pure. */
import { type EntryOf, mailLateMsMax } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'
import { dateBeside, firstInstantAt, nightDateOf, nightOf } from '../zone.ts'

export interface MailHours {
  timeZone: string
  /** The dark hours of the house. */
  night: { dusk: string; dawn: string }
  /** The hour of the mail, as a time of day. */
  at: string
}

export interface NightDue {
  /** The local date on which the night began. */
  date: string
  dueAt: EpochMs
}

/** On the morning after it began, at the hour; not before dawn, for then the night is not over. */
export function dueAtOf({ timeZone, night, at }: MailHours, date: string): EpochMs {
  return Math.max(firstInstantAt(timeZone, date, 1, at), nightOf(timeZone, date, night).dawn)
}

/** So many nights back, one may still be due: its hour may be the evening after it, and that a day ago. */
const nightsBack = 3

function nightsAround(hours: MailHours, now: EpochMs): NightDue[] {
  const tonight = nightDateOf(hours.timeZone, now)
  return Array.from({ length: nightsBack + 1 }, (_, i) => dateBeside(tonight, i - nightsBack)).map((date) => ({
    date,
    dueAt: dueAtOf(hours, date),
  }))
}

/** The nights whose hour has come and that are not too old to be news, oldest first. */
export function nightsDue(hours: MailHours, now: EpochMs): NightDue[] {
  return nightsAround(hours, now).filter(({ dueAt }) => dueAt <= now && now < dueAt + mailLateMsMax)
}

/** When the next hour comes. */
export function nextDueAt(hours: MailHours, now: EpochMs): EpochMs {
  const next = nightsAround(hours, now).find(({ dueAt }) => dueAt > now)
  return next?.dueAt ?? dueAtOf(hours, dateBeside(nightDateOf(hours.timeZone, now), 1))
}

/** How far one night has come; a night of which the journal says nothing has everybody waiting. */
export type Mailed = Pick<EntryOf<'mailed'>, 'taken' | 'waiting' | 'refused'>

/** Whom it must still be sent to. Who came into the settings after it went is not told of old nights. */
export function stillTo(to: readonly string[], mailed: Mailed | undefined): string[] {
  return mailed === undefined ? [...to] : mailed.waiting.filter((one) => to.includes(one))
}
