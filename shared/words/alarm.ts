/** An alarm in words: its sentence, its state and by when somebody should have acted. */
import type { Alarm, AlarmState, Finding } from '../contract/index.ts'
import { type EpochMs, minuteMs } from '../time.ts'
import { findingSays, findingTodo } from './finding.ts'
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
  if (!isStanding(alarm)) return says
  const action = alarm.answer.action.trim()
  return `${says} ${/[.!?]$/.test(action) ? action : `${action}.`}`
}

export function isStanding(alarm: Alarm): boolean {
  return alarm.state === 'unacknowledged' || alarm.state === 'acknowledged'
}

/** What to do first about this very finding: as the house wrote it in its alarm, else as this kind of finding asks. Never of another one. */
export function todoOf(finding: Finding, alarms: Iterable<Alarm>, speech: Speech): string {
  for (const alarm of alarms)
    if (
      isStanding(alarm) &&
      (alarm.finding.id === finding.id ||
        (alarm.kind === finding.kind && alarm.subject === finding.subject && alarm.station === finding.station))
    )
      return alarm.answer.action
  return findingTodo(finding, speech)
}

/** `times` counts each time it began; the first was no coming back. */
function cameBack(times: number): string {
  if (times <= 1) return ''
  return times === 2 ? ', come back once' : `, come back ${times - 1} times`
}

export function alarmSince(alarm: Alarm, now: EpochMs, speech: Speech): string {
  const { since, clearedAt } = alarm.finding
  const begun = moment(since, now, speech)
  if (alarm.state === 'returned-unacknowledged') {
    // The finding's own end: the alarm learns of it later, and two ends of one thing confuse.
    const end = clearedAt ?? alarm.returnedAt
    const until =
      end === undefined || end <= since ? `At ${begun}` : `Since ${begun}, until ${moment(end, now, speech)}`
    return `${until}${cameBack(alarm.times)}`
  }
  return `Since ${begun}, for ${duration(now - since)}${cameBack(alarm.times)}`
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
