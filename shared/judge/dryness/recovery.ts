/** Recovery: where the wax stands between the wet bulb and the air, both as the piece would feel them; and how sure that is. Pure. */
import { wetBulbC } from '../../physics/humidity.ts'
import type { Minutes } from '../causes/course.ts'
import type { DryingCourse } from './course.ts'
import { lagged, type PieceLag } from './lag.ts'

/** Standard uncertainties of the probes themselves: °C, °C, % humidity. */
export interface ProbesKnown {
  waxC: number
  airC: number
  humidity: number
}

export interface Recovery {
  /** R minute by minute; NaN where something was not seen. */
  r: Minutes
  /** Standard uncertainty of R. */
  sd: Minutes
  /** The part of it that another night of the same probes does not share. */
  ownSd: Minutes
  /** The depression the piece feels, °C. */
  feltC: Minutes
}

/** How far a learnt lag may be wrong, as a share of what it does. Measured on dryings of other seeds than the frozen ones. */
const lagShare = 0.12
/** What no fit explains of air and wax, °C: the room is not the same everywhere. */
const restC = 0.04
/** Probes and rooms stray a little more than is known of them: measured on dryings of other seeds than the frozen ones. */
const widened = 1.12
/** Of the air probe's error so much reaches the depression: the wet bulb moves with it. */
const airToDepression = 0.35

/** °C of wet bulb for one percent of humidity. */
function wetBulbPerPercent(airC: number, humidity: number, pressurePa: number): number {
  const [low, high] = [Math.max(0, humidity - 2), Math.min(100, humidity + 2)]
  const [a, b] = [wetBulbC(airC, low, pressurePa), wetBulbC(airC, high, pressurePa)]
  return a === null || b === null ? 0.3 : (b - a) / (high - low)
}

function meanOf(all: Minutes, from: number, to: number): number {
  let [sum, count] = [0, 0]
  for (let i = Math.max(0, from); i < Math.min(all.length, to); i++)
    if (!Number.isNaN(all[i] as number)) {
      sum += all[i] as number
      count++
    }
  return sum / count
}

/** From the beginning of the course on, where the piece was dry and had long stood in its room. */
export function recoveryOf(course: DryingCourse, lag: PieceLag, known: ProbesKnown): Recovery {
  const { airC, depressionC, waxC, humidity, pressurePa } = course
  const length = airC.length
  const perPercent = wetBulbPerPercent(meanOf(airC, 0, length), meanOf(humidity, 0, length), pressurePa)
  const depressionSd = Math.hypot(perPercent * known.humidity, airToDepression * known.airC)
  const usual = meanOf(depressionC, 0, 30)
  const each = lag.shapes.map((shape) => {
    const begin = meanOf(waxC, 0, 10) - shape.offsetC
    return {
      shape,
      air: lagged(airC, shape, 0, length, Number.isNaN(begin) ? meanOf(airC, 0, 60) : begin),
      felt: lagged(depressionC, shape, 0, length, usual),
    }
  })
  const [r, sd, ownSd, feltC] = [0, 1, 2, 3].map(() => new Float64Array(length)) as [Minutes, Minutes, Minutes, Minutes]
  for (let i = 0; i < length; i++) {
    const isSeen = !Number.isNaN(airC[i] as number) && !Number.isNaN(depressionC[i] as number)
    let [sum, square, felt, moving] = [0, 0, 0, 0]
    for (const { shape, air, felt: all } of each) {
      const [a, d] = [air[i] as number, all[i] as number]
      const one = 1 - (a - (waxC[i] as number) + shape.offsetC) / d
      sum += shape.weight * one
      square += shape.weight * one * one
      felt += shape.weight * d
      moving += shape.weight * Math.hypot(a - (airC[i] as number), (1 - one) * (d - (depressionC[i] as number)))
    }
    feltC[i] = felt
    r[i] = isSeen && felt > 0 ? sum : Number.NaN
    const apart = Math.sqrt(Math.max(0, square - sum * sum))
    ownSd[i] = Math.hypot(apart, Math.hypot(lagShare * moving, restC) / felt)
    sd[i] = widened * Math.hypot(ownSd[i] as number, Math.hypot((1 - sum) * depressionSd, lag.offsetSdC) / felt)
  }
  return { r, sd, ownSd, feltC }
}
