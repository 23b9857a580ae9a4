/** The sentence of a station and the headline of the whole foundry: the first thing anybody reads. */
import type { Alarm, Finding, Station, StationKind, StationView } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import { withoutName } from './course.ts'
import { findingSays } from './finding.ts'
import { presentOf } from './present.ts'
import { runSentence } from './run.ts'
import { amount, count, duration, moment, type Speech, sentenceCase, temperature } from './speech.ts'
import { freshness, type Standing, type StationNow, standingOf } from './standing.ts'

export const stationKindWords: Record<StationKind, string> = {
  pot: 'Wax pot',
  'bench-cup': 'Bench cup',
  'dry-room': 'Dry room',
  kiln: 'Kiln',
  surroundings: 'Surroundings',
}

function newest(latest: StationNow): number {
  return Math.max(...latest.all.map((series) => series.measuredAt))
}

/** The finding that a station's sentence speaks of; what to do first must be of this very one. */
export function headlineFinding(view: StationView | undefined, latest: StationNow, at: EpochMs): Finding | undefined {
  const standing = standingOf(view, latest, at)
  return view?.findings.find((f) => f.clearedAt === undefined && f.tier === standing)
}

/** The station itself is the subject and its name stands above the sentence, so here it is only *it*. */
function ofItself(station: Station, speech: Speech): Speech {
  return { ...speech, nameOf: (id) => (id === station.id ? 'It' : speech.nameOf(id)) }
}

function calm(station: Station, latest: StationNow, speech: Speech): string {
  const seen = [latest.leading, latest.humidity]
    .filter((s) => s !== null)
    .map((s) => amount(s.quantity, s.value, speech))
  const values = seen.length > 0 ? seen : latest.all.slice(0, 1).map((s) => amount(s.quantity, s.value, speech))
  if (latest.leading?.quality === 'bad') return 'Its leading instrument cannot measure now.'
  const at = values.join(' and ')
  return station.limits.length > 0 ? `Within its limits at ${at}.` : `At ${at}; no limits are set.`
}

/** What must be known of this station first: trouble, then blindness, then its run, then that all is well. */
export function stationSentence(
  station: Station,
  view: StationView | undefined,
  latest: StationNow,
  now: EpochMs,
  speech: Speech,
): string {
  const standing = standingOf(view, latest, now)
  if (standing === 'silent') return 'Nothing has been heard from it yet.'
  const finding = headlineFinding(view, latest, now)
  if (finding) return withoutName(findingSays(finding, ofItself(station, speech), presentOf(finding, latest, now)))
  if (standing === 'unseen') {
    const last = newest(latest)
    const value = latest.leading ? ` It was at ${temperature(latest.leading.value, speech)} then.` : ''
    return `Not seen since ${moment(last, now, speech)}, for ${duration(now - last)}.${value}`
  }
  const run = view?.runs.find((r) => r.closed === undefined)
  if (run) return runSentence(run, now, speech)
  if (latest.leading && freshness(latest.leading, now) === 'old')
    return `Its leading instrument has been quiet for ${duration(now - latest.leading.measuredAt)}.`
  return calm(station, latest, speech)
}

/** The whole foundry in a few words, and a second line for what stands behind them. */
export function foundryHeadline(
  standing: readonly Standing[],
  alarms: readonly Alarm[],
): { first: string; behind: string } {
  const number = (which: Standing) => standing.filter((s) => s === which).length
  const act = alarms.filter((a) => a.answer.tier === 'act-now' && a.state !== 'returned-unacknowledged').length
  const decide = alarms.filter((a) => a.answer.tier === 'this-shift' && a.state !== 'returned-unacknowledged').length
  const gone = alarms.filter((a) => a.state === 'returned-unacknowledged').length
  const later = alarms.filter((a) => a.answer.tier === 'tomorrow' && a.state !== 'returned-unacknowledged').length
  const unseen = number('unseen')
  const waiting = alarms.filter((a) => a.state !== 'acknowledged').length
  const isQuiet = act + decide + unseen === 0 && number('normal') + number('tomorrow') > 0
  const rest = [
    act > 0 && decide > 0 ? `${count(decide, 'thing')} to decide this shift` : '',
    unseen > 0 ? `${count(unseen, 'station')} cannot be seen` : '',
    // The first line says it already where nothing else is in the way.
    gone > 0 && !isQuiet
      ? `${count(gone, 'alarm')} went by ${gone === 1 ? 'itself' : 'themselves'} and nobody has seen ${gone === 1 ? 'it' : 'them'}`
      : '',
    later > 0 ? `${count(later, 'thing')} to read tomorrow` : '',
    number('normal') > 0 ? `${count(number('normal'), 'station')} in order` : '',
  ].filter((part) => part !== '')
  const behind = rest.length > 0 ? `${sentenceCase(rest.join(', '))}.` : ''
  if (act > 0) return { first: `${sentenceCase(count(act, 'thing'))} to do now.`, behind }
  if (decide > 0) return { first: `${sentenceCase(count(decide, 'thing'))} to decide this shift.`, behind }
  if (unseen > 0)
    return { first: unseen === standing.length ? 'Nothing can be seen.' : 'Not everything can be seen.', behind }
  if (!isQuiet) return { first: 'Nothing has been heard yet.', behind }
  if (waiting > 0) {
    const want = waiting === 1 ? 'wants' : 'want'
    return { first: `Quiet now. ${sentenceCase(count(waiting, 'alarm'))} ${want} to be seen.`, behind }
  }
  return { first: 'All quiet.', behind }
}
