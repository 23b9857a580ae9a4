/** Marks along the time of a chart that may show seconds or years: round times, midnights, first days of months and of years, all local. */
import type { EpochMs } from '../../shared/time.ts'
import { instantOf, localDate, type LocalDate, weekdayOf } from './local.ts'
import { zoneOffsetMs } from './night.ts'

export interface TimeMark {
  at: EpochMs
  text: string
}

const second = 1_000
const minute = 60 * second
const hour = 60 * minute
const day = 24 * hour

type Step =
  | { ms: number }
  | { days: 1 | 2 | 7 }
  /** Every so many months, from January on. */
  | { months: number }
  | { years: number }

const steps: readonly (readonly [aboutMs: number, step: Step])[] = [
  ...[0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30].map((s): [number, Step] => [
    s * second,
    { ms: s * second },
  ]),
  ...[1, 2, 5, 10, 15, 30].map((m): [number, Step] => [m * minute, { ms: m * minute }]),
  ...[1, 2, 3, 6, 12].map((h): [number, Step] => [h * hour, { ms: h * hour }]),
  [day, { days: 1 }],
  [2 * day, { days: 2 }],
  [7 * day, { days: 7 }],
  ...[1, 2, 3, 6].map((m): [number, Step] => [m * 30 * day, { months: m }]),
  ...[1, 2, 5, 10, 20].map((y): [number, Step] => [y * 365 * day, { years: y }]),
]

const monthNames = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']

/** About `wanted` marks within from … to, and never many more. */
export function timeMarksOf(from: EpochMs, to: EpochMs, wanted: number, timeZone: string): TimeMark[] {
  const rough = (to - from) / Math.max(1, wanted)
  if (!(rough > 0)) return []
  const step = (steps.find(([aboutMs]) => aboutMs >= rough) ?? (steps[steps.length - 1] as (typeof steps)[number]))[1]
  return 'ms' in step ? timesOfDay(from, to, step.ms, timeZone) : dates(from, to, step, timeZone)
}

/** Counted anew from each midnight, so that noon stays noon when clocks change. */
function timesOfDay(from: EpochMs, to: EpochMs, stepMs: number, timeZone: string): TimeMark[] {
  const marks: TimeMark[] = []
  let date = localDate(from, timeZone)
  for (let midnight = instantOf(date, timeZone); midnight <= to; midnight = instantOf(date, timeZone)) {
    const next: LocalDate = { ...date, day: date.day + 1 }
    const end = instantOf(next, timeZone)
    const first = Math.max(0, Math.floor((from - midnight) / stepMs) - 1)
    for (let n = first; ; n++) {
      const at = stepMs < hour ? midnight + n * stepMs : instantOf(date, timeZone, n * stepMs)
      if (at >= end || at > to) break
      if (at >= from && at > (marks[marks.length - 1]?.at ?? Number.NEGATIVE_INFINITY))
        marks.push({ at, text: timeText(at, stepMs, timeZone) })
    }
    date = localDate(end, timeZone)
  }
  return marks
}

function dates(from: EpochMs, to: EpochMs, step: Exclude<Step, { ms: number }>, timeZone: string): TimeMark[] {
  const marks: TimeMark[] = []
  let date = firstDate(localDate(from, timeZone), step)
  for (let at = instantOf(date, timeZone); at <= to; at = instantOf(date, timeZone)) {
    if (at >= from) marks.push({ at, text: dateText(date, step) })
    date = nextDate(date, step)
  }
  return marks
}

function firstDate(date: LocalDate, step: Exclude<Step, { ms: number }>): LocalDate {
  if ('years' in step) return { year: Math.floor(date.year / step.years) * step.years, month: 1, day: 1 }
  if ('months' in step) return { ...date, month: Math.floor((date.month - 1) / step.months) * step.months + 1, day: 1 }
  if (step.days === 7) return onCalendar({ ...date, day: date.day - weekdayOf(date) })
  return step.days === 2 ? { ...date, day: date.day - ((date.day - 1) % 2) } : date
}

function nextDate(date: LocalDate, step: Exclude<Step, { ms: number }>): LocalDate {
  if ('years' in step) return { ...date, year: date.year + step.years }
  if ('months' in step) return onCalendar({ ...date, month: date.month + step.months })
  const next = onCalendar({ ...date, day: date.day + step.days })
  // Every second day begins anew with the month, so that a mark does not wander while one pans.
  return step.days === 2 && next.month !== date.month ? { ...next, day: 1 } : next
}

function onCalendar({ year, month, day: of }: LocalDate): LocalDate {
  const date = new Date(Date.UTC(year, month - 1, of))
  return { year: date.getUTCFullYear(), month: date.getUTCMonth() + 1, day: date.getUTCDate() }
}

function dateText(date: LocalDate, step: Exclude<Step, { ms: number }>): string {
  if ('years' in step || (date.month === 1 && date.day === 1)) return String(date.year)
  const month = monthNames[date.month - 1] ?? ''
  return 'months' in step ? month : `${date.day} ${month}`
}

function timeText(at: EpochMs, stepMs: number, timeZone: string): string {
  const sinceMidnight = (at + zoneOffsetMs(at, timeZone)) % day
  if (sinceMidnight === 0) {
    const date = localDate(at, timeZone)
    return `${date.day} ${monthNames[date.month - 1] ?? ''}`
  }
  const two = (n: number) => String(Math.floor(n)).padStart(2, '0')
  const hm = `${two(sinceMidnight / hour)}:${two((sinceMidnight % hour) / minute)}`
  if (stepMs >= minute) return hm
  const seconds = (sinceMidnight % minute) / second
  return `${hm}:${stepMs >= second ? two(seconds) : seconds.toFixed(3).padStart(6, '0')}`
}
