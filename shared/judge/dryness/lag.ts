/** How a test piece follows its room while it is dry: learnt from hours in which nothing evaporates. */
import type { Minutes } from '../causes/course.ts'
import type { DryingCourse } from './course.ts'

/** The wax follows through one lag, and a part of it through a slower one: thick wax has a core. */
export interface LagShape {
  fastMinutes: number
  slowMinutes: number
  /** Share that comes through the slow one, 0 … 1. */
  slowShare: number
  /** Wax probe less air probe where both are as warm, °C: the two are zeroed against each other. */
  offsetC: number
  /** How far it is to be believed beside the others, 0 … 1; together they are 1. */
  weight: number
}

/** What a piece's dry hours say of its lag: seldom one shape alone. */
export interface PieceLag {
  /** The likeliest first. */
  shapes: readonly LagShape[]
  /** Standard uncertainty of the zero, °C. */
  offsetSdC: number
  /** What is left between wax and room after all that, °C. */
  leftC: number
}

/** Minutes from ≤ i < to of a course in which the piece was dry. */
export interface DryStretch {
  course: DryingCourse
  from: number
  to: number
}

const fastGrid = [2, 4, 6, 9, 13, 19, 27, 38, 54, 77, 110, 160, 230, 330, 470]
const slowGrid = [40, 80, 160, 320, 640]
const shareGrid = [0.15, 0.3, 0.5]
/** The first minutes still tell of what was before the stretch. */
const settleMinutes = 20
/** Fewer say nothing of a lag. */
const leastMinutes = 60
/** What is left wanders slowly: so many minutes of it are worth one look. */
const lookMinutes = 40
/** Shapes so much less likely than the likeliest are let go, and so are those beyond a few. */
const weightMin = 0.05
/** Below this two courses are the same, °C. */
const leftMinC = 0.02
const shapesMax = 12

/** What follows through one lag from its own beginning; where nothing is seen it stays. */
function through(all: Minutes, minutes: number, from: number, to: number, begin: number): Float64Array {
  const keep = Math.exp(-1 / minutes)
  const out = new Float64Array(to - from)
  let state = begin
  for (let i = from; i < to; i++) {
    const now = all[i] as number
    if (!Number.isNaN(now)) state = now + (state - now) * keep
    out[i - from] = state
  }
  return out
}

/** A course through one lag, minute by minute from `from` on; `begin` is where it stood before. */
export function lagged(all: Minutes, lag: LagShape, from: number, to: number, begin: number): Float64Array {
  const fast = through(all, lag.fastMinutes, from, to, begin)
  if (lag.slowShare === 0) return fast
  const slow = through(all, lag.slowMinutes, from, to, begin)
  return fast.map((v, i) => v + lag.slowShare * ((slow[i] as number) - v))
}

interface Fit {
  offset: number
  /** What is left, squared and summed. */
  sum: number
  count: number
}

/** How a shape follows the stretches, with the zero that they and what is known of the probes say together. */
function fitOf(stretches: readonly DryStretch[], shape: LagShape, zeroSdC: number): Fit {
  let [sum, square, count] = [0, 0, 0]
  for (const { course, from, to } of stretches) {
    const begin = firstSeen(course.waxC, from, to) - shape.offsetC
    const follows = lagged(course.airC, shape, from, to, begin)
    for (let i = from + settleMinutes; i < to; i++) {
      const apart = (course.waxC[i] as number) - (follows[i - from] as number)
      if (Number.isNaN(apart)) continue
      sum += apart
      square += apart * apart
      count++
    }
  }
  const mean = sum / count
  const scatter = Math.max(leftMinC ** 2, square / count - mean * mean)
  const told = count / lookMinutes / scatter
  const offset = (mean * told) / (told + 1 / zeroSdC ** 2)
  return { offset, sum: square - 2 * offset * sum + count * offset * offset, count }
}

function firstSeen(all: Minutes, from: number, to: number): number {
  let [sum, count] = [0, 0]
  for (let i = from; i < Math.min(to, from + 10); i++)
    if (!Number.isNaN(all[i] as number)) {
      sum += all[i] as number
      count++
    }
  return sum / count
}

/** Null where no dry hours were seen. `zeroSdC`: how far apart the two probes may read where both are as warm, °C. */
export function learnLag(stretches: readonly DryStretch[], zeroSdC: number): PieceLag | null {
  const usable = stretches.filter(
    ({ course, from, to }) => to - from >= leastMinutes && !Number.isNaN(firstSeen(course.waxC, from, to)),
  )
  if (usable.length === 0) return null
  const shapes: LagShape[] = []
  const shape = (fastMinutes: number, slowMinutes: number, slowShare: number) =>
    shapes.push({ fastMinutes, slowMinutes, slowShare, offsetC: 0, weight: 0 })
  for (const fast of fastGrid) {
    shape(fast, fast, 0)
    for (const slow of slowGrid) if (slow >= 2 * fast) for (const share of shareGrid) shape(fast, slow, share)
  }
  // Once with the probes as they are, once with the zero that this found: it says where each stretch began.
  const fits = shapes.map((one) => {
    const { offset } = fitOf(usable, one, zeroSdC)
    return { one, fit: fitOf(usable, { ...one, offsetC: offset }, zeroSdC) }
  })
  const { count } = (fits[0] as (typeof fits)[number]).fit
  if (count < leastMinutes) return null
  const looks = count / lookMinutes
  const likely = ({ offset, sum }: Fit) =>
    -(looks / 2) * Math.log(Math.max(leftMinC ** 2, sum / count)) - offset ** 2 / (2 * zeroSdC ** 2)
  const most = Math.max(...fits.map(({ fit }) => likely(fit)))
  const weighted = fits
    .map(({ one, fit }) => ({ ...one, offsetC: fit.offset, weight: Math.exp(likely(fit) - most) }))
    .filter(({ weight }) => weight > weightMin)
    .sort((a, b) => b.weight - a.weight)
    .slice(0, shapesMax)
  const leftC = Math.sqrt(Math.min(...fits.map(({ fit }) => fit.sum)) / count)
  const whole = weighted.reduce((sum, { weight }) => sum + weight, 0)
  return {
    shapes: weighted.map((one) => ({ ...one, weight: one.weight / whole })),
    offsetSdC: Math.max(0.01, leftC / Math.sqrt(Math.max(1, looks))),
    leftC,
  }
}
