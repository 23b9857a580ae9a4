/** Holds the examiner against held-out scenes: what it named in each lie, and whom it accused without cause. */
import type { DoubtKind } from '../../../shared/contract/index.ts'
import {
  type ExaminedStation,
  type Examination,
  examineReading,
  examineTime,
  newExamination,
} from '../../../shared/judge/examine/index.ts'
import type { LieScene, SceneTruth } from '../../held-out/lies/shape.ts'

/** Doubt of one kind about one instrument, from when it was announced until it ended. */
export interface Accusation {
  instrument: string
  kind: DoubtKind
  against: string | undefined
  from: number
  to: number
  evidence: number
}

/** What a scene makes the examiner say. */
export function accusationsIn(scene: LieScene): Accusation[] {
  const station = scene.station as ExaminedStation
  let exam: Examination = newExamination(station)
  const open = new Map<string, Accusation>()
  const all: Accusation[] = []
  let [doubts, now] = [exam.doubts, 0]
  const notice = (t: number) => {
    if (exam.doubts === doubts) return
    doubts = exam.doubts
    const standing = new Set<string>()
    for (const { kind, instrument, against, evidence } of doubts) {
      const key = `${instrument} ${kind}`
      standing.add(key)
      if (open.has(key)) continue
      const accusation = { instrument, kind, against, from: t, to: t, evidence: evidence.length }
      open.set(key, accusation)
      all.push(accusation)
    }
    for (const [key, accusation] of open)
      if (!standing.has(key)) {
        accusation.to = t
        open.delete(key)
      }
  }
  let ticked = 0
  for (const { t, instrument, quantity, value } of scene.readings()) {
    now = Math.max(now, t)
    // As the watch of the gateway does: silence is noticed within a minute.
    if (now - ticked >= 60_000) {
      exam = examineTime(station, exam, now)
      ticked = now
    }
    exam = examineReading(station, exam, instrument, quantity, t, value)
    notice(now)
  }
  for (const accusation of open.values()) accusation.to = Number.POSITIVE_INFINITY
  return all
}

/** A doubt may outlive what it was about by so long: what is sustained to begin is sustained to end. */
const graceMs = 3_600_000

const overlapMs = (a: { from: number; to: number }, from: number, to: number) =>
  Math.min(a.to, to) - Math.max(a.from, from)

/**
 * What a lie was called: the kind of doubt that stood longest against its instrument while it lasted; null where none did. A lie that comes
 * and goes (a skin between two stirrings, order in a wire from rest to rest) is one lie: all its times count together, as do all times of
 * one doubt that comes and goes with it. A first entry alone would ask for a name within its minutes, and not look at the hours after it.
 * What was first told after a lie was over is no name for it, right or wrong: by then something else is true.
 */
export function namedAs(lie: readonly SceneTruth[], accusations: readonly Accusation[]): Accusation | null {
  const stood = new Map<DoubtKind, { ms: number; first: Accusation }>()
  for (const accusation of accusations) {
    let ms = 0
    for (const part of timesOf(lie, accusation))
      if (accusation.from <= part.to) ms += Math.max(0, overlapMs(accusation, part.from, part.to + graceMs))
    if (ms <= 0) continue
    const before = stood.get(accusation.kind)
    stood.set(accusation.kind, { ms: ms + (before?.ms ?? 0), first: before?.first ?? accusation })
  }
  const [longest] = [...stood.values()].sort((a, b) => b.ms - a.ms)
  return longest?.first ?? null
}

/** The times of a lie that this accusation can be about, those with less than the grace between them as one. */
function timesOf(lie: readonly SceneTruth[], accusation: Accusation): { from: number; to: number }[] {
  const times: { from: number; to: number }[] = []
  for (const part of lie) {
    if (!isAbout(part, accusation)) continue
    const last = times[times.length - 1]
    if (last && part.from <= last.to + graceMs) last.to = Math.max(last.to, part.to)
    else times.push({ from: part.from, to: part.to })
  }
  return times
}

/**
 * Two thermocouples of two types and nothing else beside them: one that is built as the other's type, read as its own, stands to it as the
 * other would to the first (K read as N beside N, N read as K beside K). The readings cannot tell which of the two it is, so either may be
 * named, as the scenes themselves allow for a moved probe and for a clock.
 */
export function withTwin(scene: LieScene, lie: readonly SceneTruth[]): SceneTruth[] {
  const measuring = scene.station.instruments.filter(({ kind }) => kind === 'thermocouple' || kind === 'infrared')
  const wires = measuring.filter(({ kind }) => kind === 'thermocouple')
  if (measuring.length !== 2 || wires.length !== 2) return [...lie]
  return lie.map((one) => {
    const other = wires.find(({ id }) => id !== one.instrument)
    return one.kind === 'wrong-type' && one.or === undefined && other ? { ...one, or: other.id } : one
  })
}

/** The liar itself, or where the readings cannot tell which of two it is, the other. */
function isAbout({ instrument, or }: SceneTruth, accusation: Accusation): boolean {
  return accusation.instrument === instrument || accusation.instrument === or
}

/**
 * Accusations of an instrument that did nothing then. In a scene of lies a liar that is called by a wrong name is counted in the table and
 * not here; of a healthy instrument only what it truly does may be said.
 */
export function falseIn(scene: LieScene, accusations: readonly Accusation[]): Accusation[] {
  const isHealthy = scene.id.startsWith('healthy')
  return accusations.filter(
    (accusation) =>
      !scene.truth.some(
        (truth) =>
          isAbout(truth, accusation) &&
          (!isHealthy || truth.kind === accusation.kind) &&
          accusation.from >= truth.from &&
          accusation.from <= truth.to + graceMs,
      ),
  )
}
