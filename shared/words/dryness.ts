/** The dip board in words: what may be dipped, when, and why nobody can tell. It never says that somebody may dip: people do. */
import type { DipBoard, DipBoardItem, DrynessUnknown } from '../contract/index.ts'
import { type EpochMs, minuteMs } from '../time.ts'
import { count, duration, moment, numberWord, sentenceCase, type Speech } from './speech.ts'

const unknownWords: Record<DrynessUnknown, string> = {
  'no-probe': 'no test piece stands for it: a probe in the wax under a shell of the same coats would tell',
  'other-batch': 'the test piece was dipped with a later batch',
  'never-weighed':
    'this test piece was never weighed from wet to dry with this recipe, so nobody knows what its recovery means',
  'no-dry-hours':
    'the test piece was not seen in the three hours before the dip, so nobody knows how it follows its room',
  'too-soon': 'it is too early to say how much of its water is left',
  'still-chilling': 'the wax is still being chilled',
  unseen: 'room or wax are not seen now',
  'no-depression': 'the air is too damp: air and wet bulb lie too close together',
  'too-uncertain': 'the probes are too uncertain for so damp a room',
}

const percentOf = (share: number) => `${Math.max(1, Math.round(100 * share))} %`

/** The line that is read first. */
export function drynessSays(item: DipBoardItem, now: EpochMs, speech: Speech): string {
  const { verdict, unknown, drySince, forecast, left } = item
  if (verdict === 'dry') return `Dry since ${moment(drySince ?? now, now, speech)}, as far as can be told`
  const later = forecast === null ? '' : `; dry ${forecastSays(forecast, now, speech)}`
  if (verdict === 'cannot-tell') return `Nobody can tell: ${unknownWords[unknown ?? 'unseen']}${later}`
  if (left === null) return `Not dry yet: ${unknownWords[unknown ?? 'too-soon']}${later}`
  return `Not dry yet: about ${percentOf(left)} of its water is left${later}`
}

/** `about 04:30, between 03:50 and 05:40`. */
export function forecastSays(
  { at, lowAt, highAt }: NonNullable<DipBoardItem['forecast']>,
  now: EpochMs,
  speech: Speech,
): string {
  const say = (t: EpochMs) => moment(t, now, speech)
  if (highAt - now < 10 * minuteMs) return 'within minutes'
  return `about ${say(at)}, between ${say(Math.max(now, lowAt))} and ${say(highAt)} four times in five`
}

/** Whether it will be dry at an instant. */
export function drynessAt(item: DipBoardItem, at: EpochMs): 'dry' | 'perhaps' | 'not-yet' | 'unknown' {
  if (item.verdict === 'dry') return (item.drySince ?? Number.NEGATIVE_INFINITY) <= at ? 'dry' : 'not-yet'
  if (item.forecast === null) return 'unknown'
  if (item.forecast.highAt <= at) return 'dry'
  return item.forecast.lowAt > at ? 'not-yet' : 'perhaps'
}

/** What recovery, water, drying power and people say, one sentence each. */
export function drynessBecause(item: DipBoardItem, now: EpochMs, speech: Speech): string[] {
  const { recovery, width, taught, power, indicator, weighings, probe } = item
  const lines: string[] = []
  if (recovery !== null && width !== null && probe !== null)
    lines.push(
      `Recovery of ${speech.nameOf(probe)} is ${percentOf(Math.max(0, recovery))}, give or take ${percentOf(width)}; ${taught === 0 ? 'what that means is not known' : `${count(taught, 'weighed night')} say what that means`}.`,
    )
  if (power !== null) {
    const { usual } = power
    const rest =
      usual === null
        ? 'nobody has said yet at how much a batch of this recipe was dry'
        : `people found ${count(usual.nights, 'earlier batch', 'earlier batches')} dry at ${usual.from.toFixed(0)}${usual.to - usual.from >= 1 ? ` to ${usual.to.toFixed(0)}` : ''} °C·h`
    const unseen = power.coverage < 0.95 ? ` (${Math.round(100 * power.coverage)} % of the time seen)` : ''
    lines.push(`Drying power so far ${power.soFar.toFixed(0)} °C·h${unseen}; ${rest}. That is the weaker word.`)
  }
  if (indicator !== null)
    lines.push(
      `Its indicator said ${indicator.dry ? 'dry' : 'not dry'} at ${moment(indicator.at, now, speech)}, read by ${indicator.by}.`,
    )
  const last = weighings.at(-1)
  if (last)
    lines.push(
      `${sentenceCase(count(weighings.length, 'weighing'))}, the last at ${moment(last.at, now, speech)}: ${last.grams} g, by ${last.by}.`,
    )
  return lines
}

/** Too early or too late by the recipe; null where it says nothing. */
export function dipWindowSays({ earliestAt, latestAt }: DipBoardItem, now: EpochMs, speech: Speech): string | null {
  if (latestAt !== null && now > latestAt)
    return `Longer than its recipe allows, by ${duration(now - latestAt)}: a prime that dried too long lifts.`
  if (earliestAt !== null && now < earliestAt) return `By its recipe not before ${moment(earliestAt, now, speech)}.`
  return latestAt === null ? null : `By its recipe before ${moment(latestAt, now, speech)}.`
}

/** The headline of the board. */
export function dipBoardSays({ items }: DipBoard): string {
  if (items.length === 0) return 'Nothing is drying, as far as anybody said.'
  const of = (verdict: DipBoardItem['verdict']) => items.filter((i) => i.verdict === verdict).length
  const [dry, wet, unknown] = [of('dry'), of('not-yet'), of('cannot-tell')]
  const be = (n: number) => (n === 1 ? 'is' : 'are')
  const batches = (n: number) => count(n, 'batch', 'batches')
  const parts = [
    ...(dry > 0 ? [`${batches(dry)} ${be(dry)} dry as far as can be told`] : []),
    ...(wet > 0 ? [dry > 0 ? `${numberWord(wet)} ${be(wet)} not yet` : `${batches(wet)} ${be(wet)} not dry yet`] : []),
    ...(unknown > 0 ? [`of ${batches(unknown)} nobody can tell`] : []),
  ]
  return `${sentenceCase(parts.join('; '))}.`
}

export const drynessAuthorises =
  'An estimate from the room and a test piece. It authorises no dip and no pour: people do.'
