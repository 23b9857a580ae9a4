/** The slope of a pot's cooling: what bends the bare law, and how far along it the wax is, so that in its own time it falls on a straight line. */
import { lossExponent } from '../../physics/cooling.ts'
import { binC, binFromC, bins, type Course, type CourseFacts, medianOf, type Point, unrestOf } from './course.ts'

/** Where nobody measures the air: a workshop. The spread then says so. */
const workshopC = 21
/** A wax takes up so much more heat in its congealing band than beside it, spread over 8 °C: 180 kJ/kg against 2.4 kJ/kg·K (from memory). */
const latentJPerKg = 180_000
const heatJPerKgK = 2_400

export function airOf(course: Course): number {
  return course.airC ?? workshopC
}

/** ln of how much slower wax falls at this temperature for its latent heat, by the data sheet. */
function latentBend(c: number, congealing: CourseFacts['congealing']): number {
  if (congealing === null || c < congealing.fromC || c > congealing.toC) return 0
  return -Math.log(1 + latentJPerKg / (heatJPerKgK * Math.max(2, congealing.toC - congealing.fromC)))
}

/** Of every bin: what was learnt there, else what the data sheet says. */
export function bendOf(course: Course, facts: CourseFacts): number[] {
  const { bend, seen } = course.learnt
  return Array.from({ length: bins }, (_, i) => {
    const n = seen[i] as number
    const typed = latentBend(binFromC + (i + 0.5) * binC, facts.congealing)
    return (n * (bend[i] as number) + 1.5 * typed) / (n + 1.5)
  })
}

/** A pot's own time: rises as the wax falls, by 1 for a second at scale 1. Infinity at the air's temperature. */
export class OwnTime {
  readonly #airC: number
  readonly #sums: Float64Array
  readonly #topC: number
  readonly #stepC = 0.5

  constructor(bend: readonly number[], airC: number, topC: number) {
    this.#airC = airC
    this.#topC = topC
    const steps = Math.max(1, Math.ceil((topC - airC) / this.#stepC))
    this.#sums = new Float64Array(steps + 1)
    for (let k = 1; k <= steps; k++) {
      const c = topC - (k - 0.5) * this.#stepC
      const above = c - airC
      const i = Math.max(0, Math.min(bins - 1, Math.floor((c - binFromC) / binC)))
      const rate = above <= 0.2 ? 0 : above ** lossExponent * Math.exp(bend[i] as number)
      this.#sums[k] = (this.#sums[k - 1] as number) + (rate > 0 ? this.#stepC / rate : Infinity)
    }
  }

  at(c: number): number {
    if (c <= this.#airC) return Infinity
    const x = Math.max(0, (this.#topC - c) / this.#stepC)
    const k = Math.min(this.#sums.length - 2, Math.floor(x))
    const [a, b] = [this.#sums[k] as number, this.#sums[k + 1] as number]
    return a + (x - k) * (b - a)
  }

  /** The temperature at an own time. */
  back(own: number): number {
    let [low, high] = [0, this.#sums.length - 1]
    if (own <= 0) return this.#topC
    while (high - low > 1) {
      const mid = (low + high) >> 1
      if ((this.#sums[mid] as number) <= own) low = mid
      else high = mid
    }
    const [a, b] = [this.#sums[low] as number, this.#sums[high] as number]
    const share = b > a && Number.isFinite(b) ? Math.min(1, (own - a) / (b - a)) : 0
    return this.#topC - (low + share) * this.#stepC
  }
}

export interface Line {
  /** Of the fitted value, per second. */
  slope: number
  /** At the time of the newest point. */
  level: number
  /** Standard error of the slope; neighbours hang together, so it is taken three times as large as of free ones. */
  slopeU: number
  rest: number
  n: number
}

/** A line through points that count less the older they are, and little where they lie far off. `forgetS`: after it a point counts a third. */
export function lineThrough(t: readonly number[], v: readonly number[], forgetS: number): Line | null {
  const n = t.length
  if (n < 3) return null
  const now = t[n - 1] as number
  const weight = t.map((at) => Math.exp((at - now) / forgetS))
  let line: Line | null = null
  for (let round = 0; round < 3; round++) {
    let [sw, st, sv] = [0, 0, 0]
    for (let i = 0; i < n; i++) {
      sw += weight[i] as number
      st += (weight[i] as number) * (t[i] as number)
      sv += (weight[i] as number) * (v[i] as number)
    }
    const [mt, mv] = [st / sw, sv / sw]
    let [stt, stv] = [0, 0]
    for (let i = 0; i < n; i++) {
      stt += (weight[i] as number) * ((t[i] as number) - mt) ** 2
      stv += (weight[i] as number) * ((t[i] as number) - mt) * ((v[i] as number) - mv)
    }
    if (stt <= 0) return null
    const slope = stv / stt
    const offs = t.map((at, i) => (v[i] as number) - mv - slope * (at - mt))
    const rest = 1.4826 * medianOf(offs.map(Math.abs)) + 1e-9
    line = { slope, level: mv + slope * (now - mt), slopeU: (3 * rest) / Math.sqrt(stt), rest, n }
    for (let i = 0; i < n; i++)
      weight[i] =
        Math.exp(((t[i] as number) - now) / forgetS) *
        Math.min(1, (2 * rest) / Math.max(1e-12, Math.abs(offs[i] as number)))
  }
  return line
}

/** An element still gives heat, and a probe still follows, so long after the turn, ms. */
const followsMs = 50_000

/** The points of the course that goes on now. */
export function runningPoints(course: Course): Point[] {
  return course.points.filter((p) => p.t >= course.since)
}

/** Of them those since it left the height (or the depth) at which it stood before. */
export function movingPoints(course: Course, falls: boolean): Point[] {
  const points = runningPoints(course)
  const sign = falls ? 1 : -1
  const near = Math.max(0.3, 2.5 * unrestOf(course.points))
  const far = Math.max(...points.map((p) => sign * p.c))
  let from = 0
  points.forEach((p, i) => {
    if (sign * p.c > far - near) from = i
  })
  const left = points.slice(from)
  const later = left.filter((p) => p.t > (left[0]?.t ?? 0) + followsMs)
  return later.length >= 4 ? later : left
}
