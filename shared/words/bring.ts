/** What came of a logger's table, or would come of it, in sentences for the one who brings it. */
import { type BringResult, type BringSeries, type BringUnit, splitSeriesId } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import { wholeNumber } from './keeping.ts'
import { amount, moment, type Speech } from './speech.ts'

const readings = (n: number) => `${wholeNumber(n)} reading${n === 1 ? '' : 's'}`
const lines = (n: number) => `${wholeNumber(n)} line${n === 1 ? '' : 's'}`
const are = (n: number) => (n === 1 ? 'is' : 'are')

function sum(result: BringResult, of: 'stored' | 'duplicates' | 'conflicts'): number {
  return result.series.reduce((all, series) => all + series[of], 0)
}

/** How many readings keeping the table would add, or has added. */
export function bringsNew(result: BringResult): number {
  return sum(result, 'stored')
}

/** The sentence above everything else. */
export function bringSays(result: BringResult): string {
  const fresh = bringsNew(result)
  if (result.stopped !== null && result.stored) return `Stopped early; ${readings(fresh)} ${are(fresh)} kept.`
  if (result.stopped !== null) return 'The file could not be read to its end.'
  if (result.readings === 0) return 'No reading could be found in this file.'
  if (fresh === 0 && sum(result, 'conflicts') > 0) return 'Nothing new: at every instant something stands already.'
  if (result.stored)
    return fresh === 0 ? 'Nothing new: every reading was here already.' : `${readings(fresh)} ${are(fresh)} kept now.`
  return fresh === 0 ? 'Nothing new: every reading is here already.' : `${readings(fresh)} would be kept.`
}

/** What else was in it, one sentence for each thing that is not nothing. */
export function bringAlsoSays(result: BringResult): string[] {
  const also: string[] = []
  if (result.stopped !== null) also.push(result.stopped)
  also.push(`${lines(result.lines)} of data were read.`)
  const [same, other] = [sum(result, 'duplicates'), sum(result, 'conflicts')]
  if (same > 0) also.push(`${readings(same)} ${are(same)} here already.`)
  if (other > 0)
    also.push(
      `${readings(other)} ${are(other)} at an instant at which another value stands. What stands stays; the other is noted beside it.`,
    )
  const { count } = result.unreadable
  if (count > 0)
    also.push(
      `${wholeNumber(count)} ${count === 1 ? 'thing' : 'things'} could not be read and ${count === 1 ? 'is' : 'are'} left out.`,
    )
  const { told } = result.clock.twice
  if (told > 0) also.push(`${lines(told)} stand in the hour that was twice; their order tells which is meant.`)
  return [...also, ...result.remarks]
}

const units: Partial<Record<BringUnit, string>> = { C: '°C', F: '°F', uV: 'µV' }

export function unitName(unit: BringUnit): string {
  return units[unit] ?? unit
}

/** One series: how much, from when to when, between which values. */
export function bringSeriesSays(series: BringSeries, now: EpochMs, speech: Speech): string {
  const quantity = splitSeriesId(series.series)?.quantity ?? 'temperature'
  const parts = [readings(series.readings)]
  if (series.from !== null && series.to !== null) {
    const [from, to] = [moment(series.from, now, speech), moment(series.to, now, speech)]
    parts.push(from === to ? `at ${from}` : `from ${from} to ${to}`)
  }
  if (series.lowest !== null && series.highest !== null) {
    const [lowest, highest] = [amount(quantity, series.lowest, speech), amount(quantity, series.highest, speech)]
    parts.push(lowest === highest ? lowest : `between ${lowest} and ${highest}`)
  }
  const also = [
    series.convertedFrom === null ? '' : `converted from ${unitName(series.convertedFrom)}`,
    series.empty === 0 ? '' : `${wholeNumber(series.empty)} without a value`,
    series.bad === 0 ? '' : `${wholeNumber(series.bad)} kept as bad`,
    series.before === 0 ? '' : `${readings(series.before)} of before ${are(series.before)} among them in time`,
  ].filter((text) => text !== '')
  return `${parts.join(', ')}${also.length === 0 ? '' : `; ${also.join('; ')}`}.`
}
