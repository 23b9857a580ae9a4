/** The sentence of every kind of finding: what is, and the first thing to do about it. A kind without one does not compile. */
import { doubtIsNot, doubtSays, doubtTodo } from './doubt.ts'
import type { Finding, FindingKind, FindingOf } from '../contract/index.ts'
import { splitSeriesId } from '../contract/index.ts'
import { type EpochMs, minuteMs } from '../time.ts'
import { type Course, courseOf, when } from './course.ts'
import { noAnswerBecause, noAnswerTodo } from './no-answer.ts'
import { refusedBecause } from './burnout.ts'
import type { Present } from './present.ts'
import {
  amount,
  duration,
  limitTemperature,
  moment,
  type Speech,
  temperature,
  temperatureDifference,
  temperatureSpan,
  timeOfDay,
  timeWithSeconds,
} from './speech.ts'

interface Said {
  /** What is, or was. */
  says: string
  /** The first thing to do while it stands. */
  todo: string
}

type Voice<K extends FindingKind> = (
  finding: FindingOf<K>,
  speech: Speech,
  be: 'is' | 'was',
  present: Present | undefined,
) => Said

function limitText(quantity: string, value: number, speech: Speech): string {
  return quantity === 'temperature'
    ? limitTemperature(value, speech)
    : amount(quantity, value, speech).replace(' humidity', '')
}

function spanText(quantity: string, from: number, to: number, speech: Speech): string {
  if (quantity === 'temperature') return temperatureSpan(from, to, speech)
  return `${limitText(quantity, from, speech)} to ${limitText(quantity, to, speech)}`
}

function causeToSeek(quantity: string, side: 'below' | 'above'): string {
  if (quantity === 'temperature') return side === 'above' ? 'Find what warms it.' : 'Find what cools it.'
  if (quantity === 'humidity') return side === 'above' ? 'Find where damp air comes in.' : 'Find what dries the air.'
  return 'Look for the cause.'
}

const minutes = (value: number) => duration(Math.round(value) * minuteMs)

function who(finding: Finding, speech: Speech): string {
  return speech.nameOf(finding.instrument ?? finding.subject)
}

/** The day before a time, where it is not the day on which the finding was announced. */
function exactly(at: EpochMs, finding: Finding, speech: Speech): string {
  return moment(at, finding.raisedAt, speech).replace(timeOfDay(at, speech), timeWithSeconds(at, speech))
}

function clockSays(finding: FindingOf<'clock-wrong'>, speech: Speech, be: 'is' | 'was'): string {
  const { offsetMs, inSeconds } = finding.facts
  if (!inSeconds)
    return `The clock of ${who(finding, speech)} ${be} ${duration(offsetMs)} ${offsetMs > 0 ? 'ahead' : 'behind'}.`
  return be === 'is'
    ? `${who(finding, speech)} sends its time in seconds; it must be milliseconds or ISO 8601. Its readings are placed when they arrive.`
    : `${who(finding, speech)} sent its time in seconds; its readings were placed when they arrived.`
}

function faultSays(finding: FindingOf<'instrument-fault'>, speech: Speech, be: 'is' | 'was'): string {
  const { text, noAnswer } = finding.facts
  const name = who(finding, speech)
  if (noAnswer !== undefined)
    return `${name} ${be === 'is' ? 'gives' : 'gave'} no temperature: ${noAnswerBecause(noAnswer)}.`
  return `${name} ${be === 'is' ? 'says' : 'said'} that it cannot measure: ${text}.`.replace(/\.\.$/, '.')
}

function checkSays(finding: FindingOf<'check-due'>, speech: Speech, be: 'is' | 'was', present?: Present): string {
  const { checkedAt, everyDays } = finding.facts
  const name = who(finding, speech)
  const since = when(finding.since, finding, present, speech)
  if (be === 'was')
    return `${name} was due for a check from ${since} until ${when(finding.clearedAt ?? finding.since, finding, present, speech)}.`
  const asked = `a check every ${everyDays === 1 ? 'day' : `${everyDays} days`} is asked for`
  if (checkedAt === null) return `${name} was never checked against a reference; ${asked}.`
  return `${name} was last checked against a reference at ${when(checkedAt, finding, present, speech)}; ${asked}.`
}

function quietSays(finding: FindingOf<'gone-quiet'>, speech: Speech, be: 'is' | 'was', present?: Present): string {
  const { lastAt, saidOffline } = finding.facts
  if (lastAt === null) return `${who(finding, speech)} ${be === 'is' ? 'has not spoken yet' : 'had not spoken yet'}.`
  const last = when(lastAt, finding, present, speech)
  if (be === 'was') return `${who(finding, speech)} said nothing after ${last}.`
  return `${who(finding, speech)} ${saidOffline ? 'lost its connection and has' : 'has'} said nothing since ${last}.`
}

const voices: { [K in FindingKind]: Voice<K> } = {
  'above-ceiling': (finding, speech, _, present) => {
    const { valueC, ceilingC, peakC } = finding.facts
    const state = `above its ceiling of ${limitTemperature(ceilingC, speech)}`
    const course: Course = {
      who: speech.nameOf(finding.station),
      state,
      turn: `went ${state}`,
      found: temperature(valueC, speech),
      written: (value) => temperature(value, speech),
      isBeyond: (value) => value > ceilingC,
      ...(peakC === undefined ? {} : { worst: `up to ${temperature(peakC, speech)}` }),
    }
    return {
      says: courseOf(course, finding, speech, present),
      todo: 'Heat off. Where there is smoke or flame, do not reach over it: leave and call the fire service.',
    }
  },
  'outside-window': (finding, speech, _, present) => {
    const { quantity, value, from, to, side, worst } = finding.facts
    const limit = side === 'above' ? to : from
    const state = limit === null ? 'outside its limits' : `${side} ${limitText(quantity, limit, speech)}`
    const course: Course = {
      who: speech.nameOf(finding.station),
      state,
      turn: `went ${state}`,
      found: amount(quantity, value, speech),
      written: (v) => amount(quantity, v, speech),
      isBeyond: (v) => (side === 'above' ? to === null || v > to : from === null || v < from),
      ...(worst === undefined
        ? {}
        : { worst: `${side === 'above' ? 'up' : 'down'} to ${amount(quantity, worst, speech)}` }),
    }
    return { says: courseOf(course, finding, speech, present), todo: causeToSeek(quantity, side) }
  },
  'rising-too-fast': (finding, speech, _, present) => {
    const { cPerMinute, cPerMinuteMax, valueC } = finding.facts
    const limit = `faster than ${temperatureDifference(cPerMinuteMax, speech)} a minute`
    const course: Course = {
      who: speech.nameOf(finding.station),
      state: `rising ${limit}`,
      turn: `rose ${limit}`,
      found: `${temperatureDifference(cPerMinute, speech)} a minute, at ${temperature(valueC, speech)}`,
      written: (value) => temperature(value, speech),
      // The rate is the judge's to tell; while the finding stands, it has not ended.
      isBeyond: () => true,
    }
    return { says: courseOf(course, finding, speech, present), todo: 'Look whether its heat cuts off.' }
  },
  'gone-quiet': (finding, speech, be, present) => ({
    says: quietSays(finding, speech, be, present),
    todo: 'Check its power and its connection; until then nobody is watching there.',
  }),
  'instrument-fault': (finding, speech, be) => ({
    says: faultSays(finding, speech, be),
    todo:
      finding.facts.noAnswer === undefined ? 'Check the probe and its wiring.' : noAnswerTodo(finding.facts.noAnswer),
  }),
  'clock-wrong': (finding, speech, be) => ({
    says: clockSays(finding, speech, be),
    todo: finding.facts.inSeconds
      ? 'Let it send milliseconds or ISO 8601.'
      : 'Set its clock; until then its readings count from when they arrive.',
  }),
  'conflicting-reading': (finding, speech) => {
    const { facts } = finding
    const series = splitSeriesId(facts.series)
    const value = (v: number) => amount(series?.quantity ?? 'temperature', v, speech)
    return {
      says:
        `${speech.nameOf(series?.instrument ?? facts.series)} sent two values for ${exactly(facts.measuredAt, finding, speech)}: ` +
        `${value(facts.kept)} stands, ${value(facts.refused)} is kept beside it.`,
      todo: 'Look whether two devices share its name.',
    }
  },
  'off-recipe': (finding, speech, _, present) => {
    const { deviationC, targetC, toleranceC } = finding.facts
    const asked = `the ${limitTemperature(targetC, speech)} ± ${temperatureDifference(toleranceC, speech)} then asked for`
    const course: Course = {
      who: speech.nameOf(finding.station),
      state: 'off its recipe',
      turn: 'went off its recipe',
      found: `${temperatureDifference(Math.abs(deviationC), speech)} ${deviationC < 0 ? 'below' : 'above'} ${asked}`,
      written: (value) => temperature(value, speech),
      isBeyond: () => true,
    }
    return {
      says: courseOf(course, finding, speech, present),
      todo: deviationC < 0 ? 'Look whether it still heats and its door is shut.' : 'Look whether its heat cuts off.',
    }
  },
  'outside-recipe-band': (finding, speech, _, present) => {
    const { quantity, value, from, to, side } = finding.facts
    const state = `${side} the ${spanText(quantity, from, to, speech)} of its recipe`
    const course: Course = {
      who: speech.nameOf(finding.station),
      state,
      turn: `went ${state}`,
      found: amount(quantity, value, speech),
      written: (v) => amount(quantity, v, speech),
      isBeyond: (v) => (side === 'above' ? v > to : v < from),
    }
    return { says: courseOf(course, finding, speech, present), todo: causeToSeek(quantity, side) }
  },
  'coat-outside-window': ({ facts }, speech) => ({
    says: `${speech.nameOf(facts.coat)} went on at ${temperature(facts.valueC, speech)}; its window is ${temperatureSpan(facts.fromC, facts.toC, speech)}.`,
    todo: 'Look at that coat before the next one goes on.',
  }),
  'coat-off-wait': ({ facts }, speech) => ({
    says:
      facts.side === 'too-soon'
        ? `${speech.nameOf(facts.coat)} went on ${minutes(facts.waitedMinutes)} after the coat before; the recipe waits ${minutes(facts.earliestMinutes ?? 0)}.`
        : `${speech.nameOf(facts.coat)} went on ${minutes(facts.waitedMinutes)} after the coat before; the recipe waits no longer than ${minutes(facts.latestMinutes ?? 0)}.`,
    todo:
      facts.side === 'too-soon'
        ? 'Look whether the coat beneath was dragged.'
        : 'Look whether the two coats hold together before the next one goes on.',
  }),
  'nearing-ceiling': ({ station, facts }, speech) => ({
    says: `${speech.nameOf(station)} comes to its ceiling of ${limitTemperature(facts.ceilingC, speech)} in about ${minutes(facts.minutes)}: ${temperature(facts.valueC, speech)}, rising ${temperatureDifference(facts.cPerMinute, speech)} a minute with no cut-off seen.`,
    todo: 'Heat off now, at the wall. Where there is smoke or flame, do not reach over it: leave and call the fire service.',
  }),
  'no-cut-off': ({ station, facts }, speech) => ({
    says: `The heater of ${speech.nameOf(station)} does not cut off: ${temperature(facts.valueC, speech)}, and it always turned by ${temperature(facts.usualTopC, speech)}.`,
    todo: 'Heat off at the wall, and have its thermostat looked at before it is used again.',
  }),
  'left-on': ({ station, facts }, speech) => ({
    says: `${speech.nameOf(station)} has been hot for ${minutes(facts.hours * 60)} and nothing was made of it, at ${temperature(facts.valueC, speech)}.`,
    todo: 'Switch it off, or turn it down and put its lid on.',
  }),
  'wax-old': ({ station, facts }, speech) => ({
    says: `The wax in ${speech.nameOf(station)} has been hot for ${Math.round(facts.hours)} h; the house renews it after ${facts.batchHours} h.`,
    todo: 'Renew the batch, and say so at the pot.',
  }),
  'soak-paused': ({ station, facts }, speech) => ({
    says: `The soak of ${speech.nameOf(station)} is not counted: ${refusedBecause(facts.refused, facts.probe, speech)}. ${duration(facts.creditedMs)} of ${duration(facts.askedMs)} are credited.`,
    todo:
      facts.refused === 'unseen' || facts.refused === 'missing'
        ? 'Look at the probe and its leads, or appoint another load probe in its place. Air never stands in for load.'
        : facts.refused === 'too-hot'
          ? 'Look whether its heat cuts off.'
          : 'Look whether it still heats and its door is shut; a cold corner needs time.',
  }),
  'leaves-early': (finding, speech) => ({
    says: `${speech.nameOf(finding.station)} will leave the hold at ${exactly(finding.facts.leavesAt, finding, speech)} with ${duration(finding.facts.creditedMs)} of ${duration(finding.facts.askedMs)} credited.`,
    todo: `Lengthen the hold at the controller by ${duration(finding.facts.askedMs - finding.facts.creditedMs)}.`,
  }),
  'heat-lost': ({ station, facts }, speech) => ({
    says: `${speech.nameOf(station)} lost its heat: ${facts.fromC > facts.airC ? `from ${temperature(facts.fromC, speech)} down to ${temperature(facts.airC, speech)}` : `at ${temperature(facts.fromC, speech)}`}${facts.bands.length > 0 ? `, through ${facts.bands.join(' and ')}` : ''}.`,
    todo: 'Door shut, moulds left where they are. Look what took the heat; a stopped gas kiln is relit by whoever may, on site, after purging.',
  }),
  'band-too-fast': ({ station, facts }, speech) => ({
    says: `${speech.nameOf(station)} goes ${facts.direction} through ${facts.band} at ${temperatureDifference(facts.cPerHour, speech)} an hour; its recipe bears ${temperatureDifference(facts.cPerHourMax, speech)}.`,
    todo: 'Slow the ramp at the controller.',
  }),
  'hand-due': ({ station, facts }, speech) => ({
    says: `${speech.nameOf(station)} waits for somebody: ${facts.name}.`,
    todo: 'Do it, and say so at the kiln.',
  }),
  'burnout-found': (finding, speech, _, present) => {
    const { valueC, cPerHour, topC } = finding.facts
    const rises = cPerHour >= 1 ? `, rising ${temperatureDifference(Math.round(cPerHour), speech)} an hour` : ''
    const course: Course = {
      who: speech.nameOf(finding.station),
      state: 'in a burnout nobody said',
      turn: 'began a burnout nobody said',
      found: `${temperature(valueC, speech)}${rises}`,
      worst: `up to ${temperature(topC, speech)}`,
      written: (value) => temperature(value, speech),
      isBeyond: () => true,
    }
    return {
      says: courseOf(course, finding, speech, present),
      todo: 'Say at the kiln which recipe it is; it counts from its beginning.',
    }
  },
  'instrument-doubt': ({ facts }, speech) => ({
    says: doubtSays(facts.doubt, speech),
    todo: `${doubtTodo(facts.doubt, speech)} ${doubtIsNot(facts.doubt, speech)}`,
  }),
  'check-due': (finding, speech, be, present) => ({
    says: checkSays(finding, speech, be, present),
    todo: 'Check it against melting ice, boiling water or a probe that was checked.',
  }),
}

/** Kinds whose sentence tells its own end. */
const tellsItsEnd: ReadonlySet<FindingKind> = new Set<FindingKind>([
  'above-ceiling',
  'outside-window',
  'rising-too-fast',
  'off-recipe',
  'outside-recipe-band',
  'burnout-found',
  'check-due',
])

function said(finding: Finding, speech: Speech, be: 'is' | 'was', present?: Present): Said {
  // The record is total by its type; the compiler cannot see that kind and voice belong together.
  return (voices[finding.kind] as Voice<FindingKind>)(finding as FindingOf<FindingKind>, speech, be, present)
}

/**
 * What is (or, once it has ended, what was and for how long). Without a present, as on a lamp that hears it once, what is said stays true
 * however long it is read.
 */
export function findingSays(finding: Finding, speech: Speech, present?: Present): string {
  const { clearedAt, since } = finding
  const { says } = said(finding, speech, clearedAt === undefined ? 'is' : 'was', present)
  if (clearedAt === undefined || clearedAt <= since || tellsItsEnd.has(finding.kind)) return says
  return `${says} It ended at ${when(clearedAt, finding, present, speech)} after ${duration(clearedAt - since)}.`
}

/** The first thing to do where the house has not said it better; what it said itself stands instead of this, never beside it. */
export function findingTodo(finding: Finding, speech: Speech): string {
  return said(finding, speech, 'is').todo
}

export function findingSentence(finding: Finding, speech: Speech): string {
  return finding.clearedAt === undefined
    ? `${findingSays(finding, speech)} ${findingTodo(finding, speech)}`
    : findingSays(finding, speech)
}
