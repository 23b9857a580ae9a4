/** How something beyond a limit is told: while it stands with the present value, unseen as the past, and ended with its length and its worst. */
import type { Finding } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import type { Present } from './present.ts'
import { ago, duration, moment, type Speech, timeOfDay } from './speech.ts'

/** The words that one kind of finding lends to its course. */
export interface Course {
  /** Begins every form: the station or the instrument. */
  who: string
  /** `above its ceiling of 150 °C`: follows *has been* and *was*. */
  state: string
  /** `went above its ceiling of 150 °C`: what happened. */
  turn: string
  /** The value it was found at. */
  found: string
  /** How bad it was in the end, where that is known. */
  worst?: string
  /** A value as it is written here. */
  written: (value: number) => string
  /** Whether a value is beyond the limit at all. */
  isBeyond: (value: number) => boolean
}

/** A time, with its day and year where they are not those of the moment it is told at. */
export function when(at: EpochMs, finding: Finding, present: Present | undefined, speech: Speech): string {
  return moment(at, present?.now ?? finding.clearedAt ?? finding.raisedAt, speech)
}

/** The value it was found at, with its own time where that is another minute. */
function foundAt(course: Course, finding: Finding, speech: Speech): string {
  const found = timeOfDay(finding.raisedAt, speech)
  return found === timeOfDay(finding.since, speech) ? course.found : `${course.found} at ${found}`
}

function ended(course: Course, finding: Finding, clearedAt: EpochMs, speech: Speech): string {
  const { who, state } = course
  if (clearedAt <= finding.since) return `${who} was ${state} at ${timeOfDay(finding.since, speech)} (${course.found}).`
  const worst = course.worst ?? `found at ${course.found}`
  return `${who} was ${state} for ${duration(clearedAt - finding.since)}, ${worst}, until ${timeOfDay(clearedAt, speech)}.`
}

export function courseOf(course: Course, finding: Finding, speech: Speech, present?: Present): string {
  if (finding.clearedAt !== undefined) return ended(course, finding, finding.clearedAt, speech)
  const { who, state, turn, written } = course
  const since = when(finding.since, finding, present, speech)
  const went = `${who} ${turn} at ${since} (${foundAt(course, finding, speech)})`
  if (!present || present.at === null) return `${went}.`
  if (present.freshness === 'old') return `${went}; not seen since ${when(present.at, finding, present, speech)}.`
  if (present.value === null) return `${went}; its instrument cannot measure now.`
  const then = present.freshness === 'fresh' ? 'now' : ago(present.at, present.now)
  // The alarm waits for its deadband or its delay: the value itself is back already.
  if (!course.isBeyond(present.value)) return `${who} ${turn} at ${since}, ${then} back at ${written(present.value)}.`
  const here =
    present.freshness === 'fresh' ? `now at ${written(present.value)}` : `at ${written(present.value)} ${then}`
  return `${who} has been ${state} since ${since}, ${here}.`
}

/** The same sentence under a heading that names the station already. */
export function withoutName(sentence: string): string {
  const short = sentence.replace(/^It (has been )?/, '')
  return short === sentence || /^(is|was|had) /.test(short) ? sentence : short.charAt(0).toUpperCase() + short.slice(1)
}
