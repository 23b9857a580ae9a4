/** One drying of a test piece on a grid of minutes: the air it stands in, the wax under its shell, and when it was dipped. Pure. */
import { wetBulbC } from '../../physics/humidity.ts'
import { type DurationMs, type EpochMs, minuteMs } from '../../time.ts'
import { medianOf, minuteMeans, type Minutes, minutesBetween } from '../causes/course.ts'

/** Readings in columns, rising in time; NaN where a value has no meaning. °C, °C, %. */
export interface Heard {
  t: ArrayLike<number>
  v: ArrayLike<number>
}

export interface DryingHeard {
  air: Heard
  humidity: Heard
  wax: Heard
  dippedAt: EpochMs
}

export interface DryingCourse {
  from: EpochMs
  /** Minutes from `from` to the dip. */
  dip: number
  airC: Minutes
  humidity: Minutes
  /** Air less wet bulb, °C. */
  depressionC: Minutes
  /** The wax, by the middle of some minutes: a reading that jumps says nothing of drying. */
  waxC: Minutes
  pressurePa: number
}

/** Gaps up to this are bridged: a shell does nothing sudden in ten minutes. */
const bridgeMs: DurationMs = 10 * minuteMs
const smoothReach = 3

/** `from` and `to` bound the grid; the dip lies within. */
export function courseOfDrying(heard: DryingHeard, from: EpochMs, to: EpochMs, pressurePa: number): DryingCourse {
  const minutes = minutesBetween(from, to)
  const on = ({ t, v }: Heard) => minuteMeans(t, v, from, minutes, bridgeMs)
  const [airC, humidity, raw] = [on(heard.air), on(heard.humidity), on(heard.wax)]
  const depressionC = airC.map((c, i) => {
    const wet = wetBulbC(c, Math.min(100, Math.max(0, humidity[i] as number)), pressurePa)
    return wet === null ? Number.NaN : c - wet
  })
  const waxC = raw.map((_, i) => medianOf(raw, i - smoothReach, i + smoothReach + 1))
  return {
    from,
    dip: Math.round((heard.dippedAt - from) / minuteMs),
    airC,
    humidity,
    depressionC,
    waxC,
    pressurePa,
  }
}
