/** Sentences of a look back: what a span held, how it differs from another, what one day was like. Pure. */
import { type PeriodSums, splitSeriesId } from '../../shared/contract/index.ts'
import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts'
import { amount, day, duration, type Speech, temperatureDifference, timeOfDay } from '../../shared/words/index.ts'

type Told = Pick<PeriodSums, 'lowest' | 'highest' | 'mean' | 'coverage' | 'longestHoleMs'>

const years = new Map<string, Intl.DateTimeFormat>()

function yearOf(at: EpochMs, { timeZone }: Speech): string {
  let face = years.get(timeZone)
  if (!face) {
    face = new Intl.DateTimeFormat('en-GB', { timeZone, year: 'numeric' })
    years.set(timeZone, face)
  }
  return face.format(at)
}

/** A day with its year where that is not the present one. */
function dayTold(at: EpochMs, now: EpochMs, speech: Speech): string {
  const year = yearOf(at, speech)
  return year === yearOf(now, speech) ? day(at, speech) : `${day(at, speech)} ${year}`
}

export function instant(at: EpochMs, now: EpochMs, speech: Speech): string {
  return `${dayTold(at, now, speech)} ${timeOfDay(at, speech)}`
}

/** Wed 19 Nov 2031 · from 18 Nov 09:10 to … */
export function spanTold(from: EpochMs, until: EpochMs, now: EpochMs, speech: Speech): string {
  // Whole columns reach some seconds beyond the span that was meant.
  const to = until - from > hourMs ? Math.floor(until / minuteMs) * minuteMs : until
  const [begin, end] = [timeOfDay(from, speech), timeOfDay(to, speech)]
  if (dayTold(from, now, speech) === dayTold(to - 1, now, speech))
    return begin === '00:00' && end === '00:00'
      ? dayTold(from, now, speech)
      : `${dayTold(from, now, speech)}, ${begin} to ${end}`
  if (begin === '00:00' && end === '00:00') return `${dayTold(from, now, speech)} to ${dayTold(to - 1, now, speech)}`
  return `${instant(from, now, speech)} to ${instant(to, now, speech)}`
}

/** 99.97 % is not 100 %: only a span that was seen without a hole is whole. */
export function percent(part: number): string {
  if (part >= 1) return '100 %'
  if (part > 0.99) return `${(Math.floor(part * 1_000) / 10).toFixed(1)} %`
  return part > 0 && part < 0.01 ? 'less than 1 %' : `${Math.floor(part * 100)} %`
}

export function headline(label: string, series: string, sums: Told, speech: Speech): string {
  const quantity = splitSeriesId(series)?.quantity ?? ''
  if (!sums.lowest || !sums.highest || sums.mean === null) return `${label} was not seen here.`
  const [low, high] = [amount(quantity, sums.lowest.v, speech), amount(quantity, sums.highest.v, speech)]
  return low === high ? `${label} stayed at ${low}.` : `${label}: between ${low} and ${high}.`
}

export function evidence(series: string, sums: Told, now: EpochMs, speech: Speech): string {
  const quantity = splitSeriesId(series)?.quantity ?? ''
  const holes = sums.longestHoleMs > 0 ? ` The longest time unseen was ${duration(sums.longestHoleMs)}.` : ''
  if (!sums.lowest || !sums.highest || sums.mean === null)
    return 'Nothing was kept of this time, or the instrument did not speak.'
  return (
    `${amount(quantity, sums.mean, speech)} on average; lowest ${instant(sums.lowest.t, now, speech)}, ` +
    `highest ${instant(sums.highest.t, now, speech)}. ${percent(sums.coverage)} seen.${holes}`
  )
}

const compared: Record<string, readonly [more: string, less: string]> = {
  temperature: ['warmer', 'colder'],
  junction: ['warmer', 'colder'],
  humidity: ['more humid', 'drier'],
}

/** How this span differs from what it is laid over. Percentages of seen time stand beside every difference. */
export function difference(series: string, here: Told, there: Told, thereLabel: string, speech: Speech): string {
  const quantity = splitSeriesId(series)?.quantity ?? ''
  if (here.mean === null) return ''
  if (there.mean === null) return `Nothing was seen ${thereLabel}.`
  const seen = `${percent(here.coverage)} and ${percent(there.coverage)} seen`
  const apart = here.mean - there.mean
  const size =
    quantity === 'temperature' || quantity === 'junction'
      ? temperatureDifference(Math.abs(apart), speech)
      : amount(quantity, Math.abs(apart), speech).replace(' humidity', '')
  const words = compared[quantity] ?? ['higher', 'lower']
  if (Number.parseFloat(size) === 0) return `On average the same as ${thereLabel}; ${seen}.`
  return `On average ${size} ${apart > 0 ? words[0] : words[1]} than ${thereLabel}; ${seen}.`
}

/** One day of the calendar. */
export function dayTells(series: string, sums: PeriodSums, hasBand: boolean, now: EpochMs, speech: Speech): string {
  const quantity = splitSeriesId(series)?.quantity ?? ''
  const when = dayTold(sums.from, now, speech)
  if (!sums.lowest || !sums.highest || sums.mean === null) return `${when}: unseen.`
  const outside = sums.seenMs - sums.inBandMs
  const band = hasBand && outside > 0 ? `, ${duration(outside)} outside its band` : ''
  return `${when}: ${amount(quantity, sums.mean, speech)} on average, ${amount(quantity, sums.lowest.v, speech)} to ${amount(quantity, sums.highest.v, speech)}${band}, ${percent(sums.coverage)} seen.`
}
