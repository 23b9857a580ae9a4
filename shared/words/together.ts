/** Alarms of one kind that began together: one power cut is one thing to read, not seven. */
import { type Alarm, type FindingKind, fireClass } from '../contract/index.ts'
import { type EpochMs, minuteMs } from '../time.ts'
import { count, moment, type Speech, sentenceCase } from './speech.ts'
import { byUrgency } from './standing.ts'

export interface AlarmGroup {
  kind: FindingKind
  /** Most urgent first; a single alarm is a group of one. */
  alarms: Alarm[]
}

const togetherMs = 2 * minuteMs

/** What all of them are, after their number. */
const manyWords: Record<FindingKind, string> = {
  'above-ceiling': 'above their ceiling',
  'outside-window': 'outside their limits',
  'rising-too-fast': 'rising too fast',
  'gone-quiet': 'gone quiet',
  'instrument-fault': 'unable to measure',
  'clock-wrong': 'with a wrong clock',
  'conflicting-reading': 'with two values for one instant',
  'off-recipe': 'off their recipe',
  'outside-recipe-band': 'outside the band of their recipe',
  'coat-outside-window': 'with a coat outside its window',
  'coat-off-wait': 'with a coat too soon or too late',
  'nearing-ceiling': 'nearing their ceiling',
  'no-cut-off': 'with a heater that does not cut off',
  'left-on': 'left on',
  'wax-old': 'with old wax',
  'soak-paused': 'with a soak that is not counted',
  'leaves-early': 'leaving their hold too soon',
  'heat-lost': 'without heat',
  'band-too-fast': 'too fast through a band',
  'hand-due': 'waiting for somebody',
  'burnout-found': 'in a burnout nobody said',
  'instrument-doubt': 'in doubt',
  'check-due': 'due for a check',
}

/** Each alarm once, in groups by urgency. Fire-class alarms are never put together: each wants a look of its own. */
export function alarmGroups(alarms: Iterable<Alarm>): AlarmGroup[] {
  const groups: AlarmGroup[] = []
  for (const alarm of [...alarms].sort((a, b) => a.finding.since - b.finding.since)) {
    const group = fireClass.has(alarm.kind)
      ? undefined
      : groups.find(
          (g) => g.kind === alarm.kind && alarm.finding.since - (g.alarms[0] as Alarm).finding.since <= togetherMs,
        )
    if (group) group.alarms.push(alarm)
    else groups.push({ kind: alarm.kind, alarms: [alarm] })
  }
  for (const group of groups) group.alarms.sort(byUrgency)
  return groups.sort((a, b) => byUrgency(a.alarms[0] as Alarm, b.alarms[0] as Alarm))
}

function begun(group: AlarmGroup): [first: EpochMs, last: EpochMs] {
  const since = group.alarms.map((a) => a.finding.since)
  return [Math.min(...since), Math.max(...since)]
}

export function groupSays(group: AlarmGroup, now: EpochMs, speech: Speech): string {
  const [first, last] = begun(group).map((at) => moment(at, now, speech)) as [string, string]
  const many = sentenceCase(count(group.alarms.length, manyWords[group.kind], manyWords[group.kind]))
  return first === last ? `${many}, all at ${first}.` : `${many} between ${first} and ${last}.`
}

/** The words of the one button: only those that nobody has seen. */
export function groupSeenWords(group: AlarmGroup): string {
  const open = group.alarms.filter((a) => a.state !== 'acknowledged').length
  return `I have seen ${open === group.alarms.length ? 'all' : 'the other'} ${count(open, '', '')}`.trim()
}
