/** A held-out drying asked as a house would ask: what was known at each minute, beside what was true. */
import {
  courseOfDrying,
  type DryAsk,
  type DryForecast,
  type DryingCourse,
  Dryness,
  learnPiece,
} from '../../../shared/judge/dryness/index.ts'
import type { DryingRun, DryingScene, Kind } from '../../held-out/dryings/scene.ts'

const minuteMs = 60_000
/** The house's criterion, and below what it is told that nobody can tell. */
export const ask: DryAsk = { dryShare: 0.05, depressionMinC: 2.5, widthMax: 0.15, sustainedMinutes: 10 }
/** Of the true drying time, when the forecast is asked. */
export const shares = [0.25, 0.5, 0.75, 0.9]

export interface AskedDrying {
  kind: Kind
  /** Minutes after which it was truly dry; null where it was not within the record. */
  trulyAfter: number | null
  /** Minutes after the dip at which it was called dry; null where it never was. */
  calledAfter: number | null
  /** The same by a fixed recovery, and by the clock of the slowest earlier night. */
  fixedAfter: number | null
  clockAfter: number | null
  /** Minutes in which recovery was told, and of those in how many its 95 % interval held the true one. */
  told: number
  held: number
  /** Minutes while it was wet in which somebody asked, and of those in how many nobody could tell. */
  wet: number
  cannotTell: number
  forecasts: { share: number; trueHours: number; told: DryForecast | null }[]
  /** False where the piece had no dry hours to learn from. */
  isLearnt: boolean
}

/** So high must a fixed recovery be, and for so long: the middle of what houses use (TRADE §2.4, memory, uncited). */
const fixedRecovery = 0.9

function courseOf(run: DryingRun, pressurePa: number): DryingCourse {
  const ends = [run.air.t, run.wax.t]
  const from = Math.min(...ends.map((t) => t[0] as number))
  const to = Math.max(...ends.map((t) => t.at(-1) as number))
  return courseOfDrying(run, from, to, pressurePa)
}

export function askedDrying(scene: DryingScene): AskedDrying {
  const course = courseOf(scene, scene.pressurePa)
  const past = scene.earlier.map((run) => ({
    course: courseOf(run, scene.pressurePa),
    weighed: run.weighings.t.map((at, i) => ({ at, moisture: run.weighings.v[i] as number })),
  }))
  const memory = learnPiece(past, course, scene.known, ask.dryShare)
  const { truth, dippedAt, kind } = scene
  const minuteOf = (t: number) => Math.round((t - course.from) / minuteMs)
  const after = (t: number) => (t - dippedAt) / minuteMs
  const asked: AskedDrying = {
    kind,
    trulyAfter: truth.dryAt === null ? null : after(truth.dryAt),
    calledAfter: null,
    fixedAfter: null,
    clockAfter: null,
    told: 0,
    held: 0,
    wet: 0,
    cannotTell: 0,
    forecasts: [],
    isLearnt: memory !== null,
  }
  if (memory === null) return asked
  const dryness = new Dryness(course, memory, scene.known, ask)
  const since = (minute: number | null) => (minute === null ? null : minute - course.dip)
  asked.calledAfter = since(dryness.dryFrom())
  asked.fixedAfter = since(fixedFrom(dryness))
  const times = memory.nights.map((n) => n.driven.findIndex((d) => d >= n.dryDriven) - n.dip).filter((m) => m > 0)
  asked.clockAfter = times.length === 0 ? null : Math.max(...times)
  truth.t.forEach((t, i) => {
    const minute = minuteOf(t)
    if (t < dippedAt + 20 * minuteMs || minute >= course.airC.length || t > (truth.finalDryAt ?? Infinity)) return
    const { recovery, width, cannotTell } = dryness.at(minute)
    if ((truth.moisture[i] as number) > ask.dryShare) {
      asked.wet++
      if (cannotTell !== null) asked.cannotTell++
    }
    if (Number.isNaN(recovery) || width > ask.widthMax) return
    asked.told++
    if (Math.abs(dryness.raw(minute) - (truth.recovery[i] as number)) <= width) asked.held++
  })
  if (truth.dryAt !== null)
    for (const share of shares) {
      const minute = course.dip + Math.round(share * after(truth.dryAt))
      const trueHours = (after(truth.dryAt) - (minute - course.dip)) / 60
      asked.forecasts.push({ share, trueHours, told: dryness.forecast(minute) })
    }
  return asked
}

function fixedFrom(dryness: Dryness): number | null {
  let held = 0
  for (let i = dryness.course.dip + 60; i < dryness.recovery.length; i++) {
    held = (dryness.recovery[i] as number) >= fixedRecovery ? held + 1 : 0
    if (held > ask.sustainedMinutes) return i
  }
  return null
}
