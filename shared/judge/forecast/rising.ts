/** Wax that is heated: the rate as it is, less what it loses more as it gets hotter. */
import { coolingRate } from '../../physics/cooling.ts'
import { minuteMs } from '../../time.ts'
import { type Course, medianOf, type Point } from './course.ts'
import { airOf, type Line, lineThrough, movingPoints } from './slope.ts'

const forgetS = 150
const stepC = 0.5

/** A heater gives what it has after so long, ms. */
const warmsMs = 8 * minuteMs

const movedMs = (points: readonly Point[]) => (points.at(-1)?.t ?? 0) - (points[0]?.t ?? 0)

export interface Rise {
  levelC: number
  /** °C/s now. */
  rate: number
  line: Line
  /** Whether it has been heated long enough, or this heater is known from before. */
  known: boolean
  /** Seconds to a temperature; Infinity where its heat does not reach it. */
  secondsTo(targetC: number): number
}

export function riseOf(course: Course): Rise | null {
  const points = movingPoints(course, false)
  const line = lineThrough(
    points.map((p) => p.t / 1_000),
    points.map((p) => p.c),
    forgetS,
  )
  if (line === null || line.slope <= 0) return null
  const airC = airOf(course)
  const { scales } = course.learnt
  const scale = scales.length === 0 ? 0 : Math.exp(medianOf(scales))
  const seen = line.slope + coolingRate(line.level, airC, scale)
  // An element warms up first: in the first minutes what this heater gave before says more than what is seen of it.
  const share = course.learnt.pushes.length === 0 ? 1 : Math.min(1, movedMs(points) / warmsMs)
  const push = share * seen + (1 - share) * (share < 1 ? medianOf(course.learnt.pushes) : 0)
  return {
    levelC: line.level,
    rate: line.slope,
    line,
    known: course.learnt.pushes.length > 0 || movedMs(points) > warmsMs / 2,
    secondsTo: (targetC) => {
      let s = 0
      for (let c = line.level; c < targetC; c += stepC) {
        const part = Math.min(stepC, targetC - c)
        const rate = push - coolingRate(c + part / 2, airC, scale)
        if (rate <= 0) return Infinity
        s += part / rate
      }
      return s
    },
  }
}
