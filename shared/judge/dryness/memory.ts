/** What a test piece's earlier nights taught: how it follows its room, and what recovery meant when it was weighed. Pure. */
import { medianOf, type Minutes } from '../causes/course.ts'
import type { DryingCourse } from './course.ts'
import { learnLag, type PieceLag } from './lag.ts'
import {
  drivenAt,
  drivenOf,
  type MoistureCourse,
  moistureAt,
  moistureCourse,
  moistureLeast,
  type Weighed,
} from './moisture.ts'
import { type ProbesKnown, recoveryOf } from './recovery.ts'

export interface PastDrying {
  course: DryingCourse
  /** By people; empty where nobody weighed. */
  weighed: readonly Weighed[]
}

/** One night that was weighed until it was dry. */
export interface TaughtNight {
  /** Recovery by minute, over the minutes before; NaN where it was not seen. */
  r: Minutes
  /** The depression the piece felt, °C. */
  feltC: Minutes
  driven: Minutes
  dip: number
  moisture: MoistureCourse
  /** °C·h from the dip until the piece was dry by the criterion. */
  dryDriven: number
}

export interface PieceMemory {
  lag: PieceLag
  /** Empty where no night was weighed: then nobody knows what recovery means for this piece. */
  nights: readonly TaughtNight[]
}

/** Recovery wanders by a cycle of the room; a shell does not. */
const halfMinutes = 20

/** Each minute where the line through the middles of the forty minutes before it has come: nothing of what is not yet known, and no delay. */
export function settled(r: Minutes): Minutes {
  return r.map((one, i) => {
    if (Number.isNaN(one)) return Number.NaN
    const before = medianOf(r, i - 2 * halfMinutes + 1, i - halfMinutes + 1, halfMinutes / 4)
    const now = medianOf(r, i - halfMinutes + 1, i + 1, halfMinutes / 4)
    return Number.isNaN(before) ? now : now + (now - before) / 2
  })
}

/** `known`: of the probes. `dryShare`: the share of the dip's water at which the house calls it dry. Null where no dry hours were seen. */
export function learnPiece(
  past: readonly PastDrying[],
  tonight: DryingCourse,
  known: ProbesKnown,
  dryShare: number,
): PieceMemory | null {
  // Only the hours before a dip: after a drying thick wax comes back from the cold for longer than its shell takes to dry.
  const stretches = [tonight, ...past.map((p) => p.course)].map((course) => ({ course, from: 0, to: course.dip }))
  const lag = learnLag(stretches, Math.hypot(known.waxC, known.airC))
  if (lag === null) return null
  const nights = past.flatMap(({ course, weighed }): TaughtNight[] => {
    const driven = drivenOf(course)
    const points = weighed.flatMap(({ at, moisture }) => {
      const one = driven[Math.round((at - course.from) / 60_000)]
      return one === undefined ? [] : [{ driven: one, moisture }]
    })
    const fitted = moistureCourse(points)
    if (fitted === null) return []
    const { r: raw, feltC } = recoveryOf(course, lag, known)
    return [
      { r: settled(raw), feltC, driven, dip: course.dip, moisture: fitted, dryDriven: drivenAt(fitted, dryShare) },
    ]
  })
  return { lag, nights }
}

/** The last minute of a night at which its recovery was still below `r`: from then on it was more. Null where it never was. */
export function lastBelow({ r: all, dip }: TaughtNight, r: number): number | null {
  for (let i = all.length - 1; i > dip; i--) if ((all[i] as number) < r) return i
  return null
}

/** In damper air the same recovery means a little more water; this power of the depressions was found on seeds other than the frozen one. */
const airPower = 0.25

/** ln of the moisture that this recovery meant on that night, for air of this felt depression, °C; null where the night never was below it. */
export function moistureLn(night: TaughtNight, r: number, feltC: number): number | null {
  const at = lastBelow(night, r)
  if (at === null) return null
  const then = Math.log(Math.max(moistureLeast, moistureAt(night.moisture, night.driven[at] as number)))
  return then + airPower * Math.log((night.feltC[at] as number) / feltC)
}
