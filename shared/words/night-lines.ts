/** A night line by line, as the page and the mail tell it: what a room was held against, its alarms, and what came late. */
import { type NightAlarm, type NightAmendment, type NightLine, splitSeriesId } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import { findingName } from './finding-name.ts'
import { seenBySays } from './night-parts.ts'
import { moment, type Speech, timeOfDay } from './speech.ts'

/** A share of the night, as people write it. */
export const seenShare = (share: number): string => `${(100 * share).toFixed(share > 0.995 ? 1 : 0)} %`

/** How much of the dark hours was seen, and how much of that in band. */
export function nightLineSays({ dark }: NightLine): string {
  if (!dark || dark.seenMs === 0) return 'nothing was seen in the dark hours'
  const inBand = dark.inBandMs === null ? '' : `in band ${seenShare(dark.inBandMs / dark.seenMs)} of the time seen; `
  return `${inBand}${seenShare(dark.coverage)} of the dark hours seen`
}

const urgency = { 'act-now': 0, 'this-shift': 1, tomorrow: 2 } as const

export function mostUrgentFirst(alarms: readonly NightAlarm[]): NightAlarm[] {
  return [...alarms].sort((a, b) => urgency[a.tier] - urgency[b.tier] || a.since - b.since)
}

/** `21:47–23:31`, or `21:47, still standing`. */
export function alarmStood({ since, until }: NightAlarm, speech: Speech): string {
  return `${timeOfDay(since, speech)}${until === null ? ', still standing' : `–${timeOfDay(until, speech)}`}`
}

/** What it was and who answered. */
export function alarmWas({ kind, times, seenBy }: NightAlarm, speech: Speech): string {
  return `${findingName(kind)}${times > 1 ? `, ${times} times` : ''}; ${seenBySays(seenBy, speech)}`
}

export function amendedSays(amended: NightAmendment, now: EpochMs, speech: Speech): string {
  const changes = amended.changes.map((c) => {
    const name = speech.nameOf(splitSeriesId(c.series)?.instrument ?? c.series)
    const excursions =
      c.excursionsFrom === c.excursionsTo ? '' : `, ${c.excursionsFrom} excursions then, ${c.excursionsTo} now`
    return `${name} seen ${seenShare(c.coverageFrom)} then, ${seenShare(c.coverageTo)} now${excursions}`
  })
  return `${amended.readings} readings of this night came after dawn, from ${moment(amended.firstAt, now, speech)} to ${moment(amended.lastAt, now, speech)}: ${changes.join('; ')}.`
}

/** Under every review. */
export const nightAuthorisesNothing = 'It authorises no dip and no pour: people do.'
