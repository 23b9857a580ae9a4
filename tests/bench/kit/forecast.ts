/** How a forecast is held against what came of it: coverage, error, interval score; and the simple forecasts it is compared with. */
import { type Course, follow, newCourse, reach } from '../../../shared/judge/forecast/index.ts'
import type { CoolingSample, CoolingScene, PotStory, Question } from '../../held-out/coolings/scene.ts'

/** One question with its answers, ms of lead; null: refused. */
export interface Answered {
  pot: 'under 3 kg' | '3–15 kg' | 'over 15 kg'
  lead: 0 | 1 | 2
  trueMs: number
  falls: boolean
  lead4: string
  ours: { ms: number; lowMs: number; highMs: number } | null
  why: string
  local: number | null
  learnt: number | null
  line: number | null
  /** What happened between the question and its end. */
  eventful: boolean
}

export const leadNames = ['2–5 min', '5–15 min', '15–30 min'] as const
const minute = 60_000
/** z of the interval score for 80 %. */
const alpha = 0.2

export const leadOf = (ms: number): 0 | 1 | 2 => (ms < 5 * minute ? 0 : ms < 15 * minute ? 1 : 2)
const potOf = (kg: number) => (kg < 3 ? 'under 3 kg' : kg < 15 ? '3–15 kg' : 'over 15 kg')
const levelOf = (s: CoolingSample) => s.waxC ?? s.surfaceC

function ols(x: readonly number[], y: readonly number[]): { slope: number; at: (x: number) => number } | null {
  const n = x.length
  if (n < 3) return null
  const mx = x.reduce((a, b) => a + b, 0) / n
  const my = y.reduce((a, b) => a + b, 0) / n
  let [xx, xy] = [0, 0]
  for (let i = 0; i < n; i++) {
    xx += ((x[i] as number) - mx) ** 2
    xy += ((x[i] as number) - mx) * ((y[i] as number) - my)
  }
  return xx === 0 ? null : { slope: xy / xx, at: (at) => my + (xy / xx) * (at - mx) }
}

const median = (values: readonly number[]) =>
  [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN

/** The time constant of a past scene where it cools freely: a line through ln(T − A) over its second half, s. */
function tauOf(scene: CoolingScene): number | null {
  const known = scene.samples.filter((s) => levelOf(s) !== null)
  const half = known.slice(Math.floor(known.length * 0.45), Math.floor(known.length * 0.9))
  const air = median(half.map((s) => s.airC ?? 21))
  const usable = half.filter((s) => (levelOf(s) as number) - air > 2)
  const fit = ols(
    usable.map((s) => s.t / 1_000),
    usable.map((s) => Math.log((levelOf(s) as number) - air)),
  )
  return fit && fit.slope < -1e-6 ? -1 / fit.slope : null
}

function simply(
  recent: readonly CoolingSample[],
  q: Question,
  tau: number | null,
): Pick<Answered, 'local' | 'learnt' | 'line'> {
  const window = (ms: number) => recent.filter((s) => s.t > q.askedAt - ms && levelOf(s) !== null)
  const five = window(5 * minute)
  const air = median(five.map((s) => s.airC ?? 21))
  const seconds = (s: CoolingSample) => (s.t - q.askedAt) / 1_000
  const over = q.targetC - air
  const warm = five.filter((s) => (levelOf(s) as number) > air + 1)
  const logs = ols(
    warm.map(seconds),
    warm.map((s) => Math.log((levelOf(s) as number) - air)),
  )
  const line = ols(
    five.map(seconds),
    five.map((s) => levelOf(s) as number),
  )
  const now = median(window(30_000).map((s) => levelOf(s) as number))
  const ms = (s: number | null) => (s === null || !Number.isFinite(s) || s < 0 || s > 6 * 3_600 ? null : s * 1_000)
  return {
    local: ms(logs && over > 0 && logs.slope < 0 ? (Math.log(over) - logs.at(0)) / logs.slope : null),
    learnt: ms(tau !== null && over > 0 && now > air ? tau * Math.log((now - air) / over) : null),
    line: ms(line && line.slope !== 0 ? (q.targetC - line.at(0)) / line.slope : null),
  }
}

/** Leads every sample of a pot's story to the forecast, and asks what is asked. */
export function answersOf(story: PotStory): {
  answers: Answered[]
  impossible: number
  impossibleTold: number
  samples: number
} {
  const facts = {
    waxKg: story.pot.waxKg,
    heaterW: null,
    setPointC: story.pot.setPointC,
    congealing: story.pot.congealing,
  }
  let course: Course = newCourse
  const answers: Answered[] = []
  const taus: number[] = []
  let [impossible, impossibleTold, samples] = [0, 0, 0]
  for (const scene of story.scenes) {
    let next = 0
    const asked = scene.questions
    scene.samples.forEach((sample, i) => {
      while (next < asked.length && (asked[next] as Question).askedAt < sample.t) {
        const q = asked[next++] as Question
        const told = reach(course, facts, q.targetC, q.askedAt)
        if (q.reachedAt === null) {
          impossible++
          if (told.is === 'reaches') impossibleTold++
          continue
        }
        const recent = scene.samples.slice(Math.max(0, i - 400), i)
        const trueMs = q.reachedAt - q.askedAt
        const nowC = median(recent.slice(-5).flatMap((s) => levelOf(s) ?? []))
        answers.push({
          pot: potOf(story.pot.waxKg),
          lead: leadOf(trueMs),
          lead4: scene.truth.lead,
          trueMs,
          falls: q.targetC < nowC,
          ours:
            told.is === 'reaches'
              ? { ms: told.at - q.askedAt, lowMs: told.earliest - q.askedAt, highMs: told.latest - q.askedAt }
              : null,
          why: told.is === 'never' || told.is === 'cannot-tell' ? told.why : told.is,
          ...simply(recent, q, taus.length > 0 ? median(taus) : null),
          eventful: scene.truth.happenings.some(
            (h) => h.at > q.askedAt - 2 * minute && h.at < (q.reachedAt as number) && h.what !== 'stirred',
          ),
        })
      }
      course = follow(course, sample, facts)
      samples++
    })
    const tau = tauOf(scene)
    if (tau !== null) taus.push(tau)
  }
  return { answers, impossible, impossibleTold, samples }
}

/** Winkler's score of an 80 % interval: its width, and ten times what the truth lies beyond it. */
export function intervalScore(lowMs: number, highMs: number, trueMs: number): number {
  return highMs - lowMs + (2 / alpha) * (Math.max(0, lowMs - trueMs) + Math.max(0, trueMs - highMs))
}

/** The intervals of a simple forecast, conformalised by class of lead on the very questions it is measured on: the best they can be. */
export function conformal(
  answers: readonly Answered[],
  of: (a: Answered) => number | null,
): Map<Answered, [number, number]> {
  const out = new Map<Answered, [number, number]>()
  for (const lead of [0, 1, 2] as const) {
    const mine = answers.flatMap((a) => {
      const ms = of(a)
      return ms !== null && leadOf(ms) === lead ? [{ a, ms, miss: Math.log((a.trueMs + 15_000) / (ms + 15_000)) }] : []
    })
    const sorted = mine.map((m) => m.miss).sort((x, y) => x - y)
    const at = (share: number) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? 0
    const [low, high] = [at(0.1), at(0.9)]
    for (const { a, ms } of mine)
      out.set(a, [(ms + 15_000) * Math.exp(low) - 15_000, (ms + 15_000) * Math.exp(high) - 15_000])
  }
  return out
}

export function quantileOf(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN
}
