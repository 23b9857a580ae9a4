/** An alarm in words: its sentence, its state and by when somebody should have acted. */
import type { Alarm, AlarmState } from '../contract/index.ts'
import { type EpochMs, minuteMs } from '../time.ts'
import { findingSays } from './finding.ts'
import { duration, moment, type Speech, timeOfDay } from './speech.ts'

export const alarmStateWords: Record<AlarmState, string> = {
  normal: 'Over',
  unacknowledged: 'Not yet seen by anybody',
  acknowledged: 'Seen, still standing',
  'returned-unacknowledged': 'Went by itself, not yet seen by anybody',
}

/** What is, and what to do first. */
export function alarmSentence(alarm: Alarm, speech: Speech): string {
  const says = findingSays(alarm.finding, speech)
  if (alarm.state === 'returned-unacknowledged' || alarm.state === 'normal') return says
  const action = alarm.answer.action.trim()
  return `${says} ${/[.!?]$/.test(action) ? action : `${action}.`}`
}

export function alarmSince(alarm: Alarm, now: EpochMs, speech: Speech): string {
  const since = `Since ${moment(alarm.finding.since, now, speech)}`
  if (alarm.returnedAt !== undefined && alarm.state === 'returned-unacknowledged')
    return `${since}, until ${moment(alarm.returnedAt, now, speech)}`
  const lasted = `${since}, for ${duration(now - alarm.finding.since)}`
  return alarm.times > 1 ? `${lasted}, come back ${alarm.times} times` : lasted
}

/** When the answer is due, and how long that still is. */
export function alarmDue(alarm: Alarm, now: EpochMs, speech: Speech): string {
  const due = alarm.raisedAt + alarm.answer.respondMinutes * minuteMs
  const at = moment(due, now, speech)
  return due > now ? `by ${at}, in ${duration(due - now)}` : `was due at ${at}, ${duration(now - due)} ago`
}

export function acknowledgedWords(alarm: Alarm, speech: Speech): string {
  if (alarm.acknowledgedAt === undefined) return alarmStateWords[alarm.state]
  return `Seen by ${alarm.acknowledgedBy ?? 'somebody'} at ${timeOfDay(alarm.acknowledgedAt, speech)}`
}
