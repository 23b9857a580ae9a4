/** The sentence of every kind of finding: what is, and the first thing to do about it. A kind without one does not compile. */
import type { Finding, FindingKind, FindingOf } from '../contract/index.ts'
import { splitSeriesId } from '../contract/index.ts'
import {
  amount,
  duration,
  limitTemperature,
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

type Voice<K extends FindingKind> = (finding: FindingOf<K>, speech: Speech, be: 'is' | 'was') => Said

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

function who(finding: Finding, speech: Speech): string {
  return speech.nameOf(finding.instrument ?? finding.subject)
}

const voices: { [K in FindingKind]: Voice<K> } = {
  'above-ceiling': ({ station, facts }, speech, be) => ({
    says: `${speech.nameOf(station)} ${be} at ${temperature(facts.valueC, speech)}, above its ceiling of ${limitTemperature(facts.ceilingC, speech)}.`,
    todo: 'Heat off. Where there is smoke or flame, do not reach over it: leave and call the fire service.',
  }),
  'outside-window': ({ station, facts }, speech, be) => {
    const limit = facts.side === 'above' ? facts.to : facts.from
    const beyond = limit === null ? 'outside its limits' : `${facts.side} ${limitText(facts.quantity, limit, speech)}`
    return {
      says: `${speech.nameOf(station)} ${be} at ${amount(facts.quantity, facts.value, speech)}, ${beyond}.`,
      todo: causeToSeek(facts.quantity, facts.side),
    }
  },
  'rising-too-fast': ({ station, facts }, speech, be) => ({
    says:
      `${speech.nameOf(station)} ${be} rising ${temperatureDifference(facts.cPerMinute, speech)} a minute, faster than ` +
      `${temperatureDifference(facts.cPerMinuteMax, speech)}, at ${temperature(facts.valueC, speech)}.`,
    todo: 'Look whether its heat cuts off.',
  }),
  'gone-quiet': (finding, speech, be) => ({
    says:
      finding.facts.lastAt === null
        ? `${who(finding, speech)} has not spoken yet.`
        : be === 'is'
          ? `${who(finding, speech)} ${finding.facts.saidOffline ? 'lost its connection and' : ''} has said nothing since ${timeOfDay(finding.facts.lastAt, speech)}.`.replace(
              / {2}/,
              ' ',
            )
          : `${who(finding, speech)} said nothing after ${timeOfDay(finding.facts.lastAt, speech)}.`,
    todo: 'Check its power and its connection; until then nobody is watching there.',
  }),
  'instrument-fault': (finding, speech, be) => ({
    says: `${who(finding, speech)} ${be === 'is' ? 'says' : 'said'} that it cannot measure: ${finding.facts.text}.`.replace(
      /\.\.$/,
      '.',
    ),
    todo: 'Check the probe and its wiring.',
  }),
  'clock-wrong': (finding, speech, be) => ({
    says: `The clock of ${who(finding, speech)} ${be} ${duration(finding.facts.offsetMs)} ${finding.facts.offsetMs > 0 ? 'ahead' : 'behind'}.`,
    todo: 'Set its clock; until then its readings count from when they arrive.',
  }),
  'conflicting-reading': ({ facts }, speech) => {
    const series = splitSeriesId(facts.series)
    const value = (v: number) => amount(series?.quantity ?? 'temperature', v, speech)
    return {
      says:
        `${speech.nameOf(series?.instrument ?? facts.series)} sent two values for ${timeWithSeconds(facts.measuredAt, speech)}: ` +
        `${value(facts.kept)} stands, ${value(facts.refused)} is kept beside it.`,
      todo: 'Look whether two devices share its name.',
    }
  },
  'off-recipe': ({ station, facts }, speech, be) => ({
    says:
      `${speech.nameOf(station)} ${be} ${temperatureDifference(Math.abs(facts.deviationC), speech)} ` +
      `${facts.deviationC < 0 ? 'below' : 'above'} its recipe, which asks for ${limitTemperature(facts.targetC, speech)} ` +
      `± ${temperatureDifference(facts.toleranceC, speech)}.`,
    todo:
      facts.deviationC < 0 ? 'Look whether it still heats and its door is shut.' : 'Look whether its heat cuts off.',
  }),
  'outside-recipe-band': ({ station, facts }, speech, be) => ({
    says:
      `${speech.nameOf(station)} ${be} at ${amount(facts.quantity, facts.value, speech)}, ${facts.side} the ` +
      `${spanText(facts.quantity, facts.from, facts.to, speech)} of its recipe.`,
    todo: causeToSeek(facts.quantity, facts.side),
  }),
  'coat-outside-window': ({ facts }, speech) => ({
    says: `${speech.nameOf(facts.coat)} went on at ${temperature(facts.valueC, speech)}; its window is ${temperatureSpan(facts.fromC, facts.toC, speech)}.`,
    todo: 'Look at that coat before the next one goes on.',
  }),
}

function said(finding: Finding, speech: Speech, be: 'is' | 'was'): Said {
  // The record is total by its type; the compiler cannot see that kind and voice belong together.
  return (voices[finding.kind] as Voice<FindingKind>)(finding as FindingOf<FindingKind>, speech, be)
}

/** What is (or, once it has ended, what was and for how long). */
export function findingSays(finding: Finding, speech: Speech): string {
  const ended = finding.clearedAt !== undefined && finding.clearedAt > finding.since
  const says = said(finding, speech, finding.clearedAt === undefined ? 'is' : 'was').says
  if (!ended) return says
  return `${says} It ended at ${timeOfDay(finding.clearedAt as number, speech)} after ${duration((finding.clearedAt as number) - finding.since)}.`
}

/** The first thing to do; the foundry's own words, where a limit carries them, stand above these. */
export function findingTodo(finding: Finding, speech: Speech): string {
  return said(finding, speech, 'is').todo
}

export function findingSentence(finding: Finding, speech: Speech): string {
  return finding.clearedAt === undefined
    ? `${findingSays(finding, speech)} ${findingTodo(finding, speech)}`
    : findingSays(finding, speech)
}
