/** When a load will be ready: its kiln's air goes the rest of the recipe as it always does, the load follows with its own lag, holds are credited. */
import type { BurnoutRecipe, ReadyOutlook } from '../../contract/index.ts'
import { type DurationMs, type EpochMs, hourMs, minuteMs } from '../../time.ts'
import { mayBeReady, meets } from './asks.ts'
import { type Course, fitted, follow, type Lags, paceOf, second, third } from './lag.ts'
import { farthestMs, type Habits, habitsOf, type KilnLearnt, priorOf, spreadOf } from './learn.ts'
import { directionOf, endOf } from './plan.ts'
import type { BurnoutState } from './state.ts'
import type { Watched } from './watch.ts'

const fiveMs = 5 * minuteMs
/** Where free water boils; a load that stands near it is drying. */
const boil = { fromC: 88, toC: 112, cPerHourMax: 14, airAboveC: 25 }

/** Means of five minutes of both, where both were seen; a hole is bridged as far as it goes. */
export function courseOf(air: Watched, load: Watched, from = -Infinity): Course & { at: EpochMs[] } {
  const at: EpochMs[] = []
  const airC: number[] = []
  const coreC: number[] = []
  let i = 0
  for (let j = 0; j < load.fives.length; j += 2) {
    const t = load.fives[j] as number
    if (t < from) continue
    while (i + 2 < air.fives.length && (air.fives[i + 2] as number) <= t) i += 2
    if ((air.fives[i] as number) > t || t - (air.fives[i] as number) > 6 * fiveMs) continue
    // What was not seen in between ran straight.
    const last = at.at(-1)
    const missed = last === undefined ? 0 : Math.min(200, Math.round((t - last) / fiveMs) - 1)
    const [a0, c0] = [airC.at(-1) as number, coreC.at(-1) as number]
    for (let k = 1; k <= missed; k++) {
      const share = k / (missed + 1)
      at.push((last as number) + k * fiveMs)
      airC.push(a0 + share * ((air.fives[i + 1] as number) - a0))
      coreC.push(c0 + share * ((load.fives[j + 1] as number) - c0))
    }
    at.push(t)
    airC.push(air.fives[i + 1] as number)
    coreC.push(load.fives[j + 1] as number)
  }
  return { at, airC, coreC, stepMs: fiveMs }
}

/** Indices of the last stretch in which the load stood at the boil; null where it never did for half an hour. */
export function boilOf({ airC, coreC }: Course): { from: number; to: number } | null {
  const per = hourMs / fiveMs
  const boils = (i: number) => {
    const [a, b] = [coreC[Math.max(0, i - 2)] as number, coreC[Math.min(coreC.length - 1, i + 2)] as number]
    const v = coreC[i] as number
    return (
      v >= boil.fromC &&
      v <= boil.toC &&
      (Math.abs(b - a) * per) / 4 <= boil.cPerHourMax &&
      (airC[i] as number) - v >= boil.airAboveC
    )
  }
  for (let i = coreC.length - 1; i >= 0; i--) {
    if (!boils(i)) continue
    let from = i
    while (from > 0 && boils(from - 1)) from--
    if (i - from >= 5) return { from, to: i }
    i = from
  }
  return null
}

const since = (course: Course, from: number): Course => ({
  stepMs: course.stepMs,
  airC: course.airC.slice(from),
  coreC: course.coreC.slice(from),
})

/** Lag, and where the load's lags stand now. A load that has just dried is led from there; before that its water tells nothing of its lag. */
export function lagOf(
  course: Course,
  recipe: BurnoutRecipe,
  kiln: KilnLearnt | null,
): { lagMs: DurationMs; lags: Lags; boilsSince: number | null } | null {
  const prior = priorOf(kiln, recipe)
  const { offsetC } = habitsOf(kiln, recipe)
  const water = boilOf(course)
  const n = course.coreC.length
  if (n === 0) return null
  const coreC = course.coreC[n - 1] as number
  const stands = water !== null && water.to >= n - 4
  if (stands) return { lagMs: Math.exp(prior.logMs), lags: [coreC, coreC, coreC], boilsSince: water.from }
  const fit = fitted(since(course, water ? water.to : 0), offsetC, prior)
  if (!fit) return { lagMs: Math.exp(prior.logMs), lags: [coreC, coreC, coreC], boilsSince: null }
  return { ...bySlope(course, fit, offsetC), boilsSince: null }
}

/** A core that moves by less, °C/h, does not tell its lags. */
const leastSlope = 6
const localWeight = 0.15

/**
 * The core is where it is seen, and goes as it is seen to go: the lags before it stand where they give it that slope. What the air is then still
 * apart from the first of them says how long that one is now.
 */
function bySlope(
  course: Course,
  fit: { lagMs: DurationMs; end: Lags },
  offsetC: number,
): { lagMs: DurationMs; lags: Lags } {
  const { coreC, airC, stepMs } = course
  const last = coreC.length - 1
  const now = coreC[last] as number
  const by = now - fit.end[2]
  const moved: Lags = [fit.end[0] + by, fit.end[1] + by, now]
  if (last < 6) return { lagMs: fit.lagMs, lags: moved }
  const perMs = (now - (coreC[last - 6] as number)) / (6 * stepMs)
  if (Math.abs(perMs * hourMs) < leastSlope) return { lagMs: fit.lagMs, lags: moved }
  const y = now + third * fit.lagMs * perMs
  const x = y + second * fit.lagMs * perMs
  const local = ((airC[last] as number) + offsetC - x) / perMs
  const isLocal = local > 0.3 * fit.lagMs && local < 3 * fit.lagMs
  // The fit knows the whole way, the slope only now: of its word on the lag a part is believed.
  return { lagMs: isLocal ? fit.lagMs * (local / fit.lagMs) ** localWeight : fit.lagMs, lags: [x, y, now] }
}

export interface Start {
  recipe: BurnoutRecipe
  segment: number
  creditedMs: DurationMs
  /** How long this segment has gone on, and (in a hold) since when its air has been there, ms ago; null: not yet. */
  elapsedMs: DurationMs
  airThereMs: DurationMs | null
  airC: number
  /** The air as it really goes now, °C/h; null unknown. */
  airCPerHour: number | null
  lags: Lags
  lagMs: DurationMs
  /** Standing at the boil for so long; null: not. */
  boilsMs: DurationMs | null
  /** Whether air, load or both govern each segment. */
  governedBy: (segment: number) => 'air' | 'load' | 'all'
  habits: Habits
}

/** How much faster or slower it goes now than it always could at this temperature; 1 where it keeps its line, or nobody knows. */
function slowerOf({ recipe, segment, airC, airCPerHour, habits }: Start): number {
  const part = recipe.segments[segment]
  if (part?.kind !== 'ramp' || airCPerHour === null) return 1
  const direction = directionOf(recipe, segment)
  const can = direction > 0 ? habits.rise(airC) : habits.fall(airC)
  const now = direction * airCPerHour
  // Where it keeps its line nobody sees what it could.
  if (now >= 0.95 * part.cPerHour || now <= 0.1 * Math.min(can, part.cPerHour)) return 1
  return can === Infinity ? now / part.cPerHour : Math.min(2.5, now / can)
}

/** How long until it is ready, and until the present hold is next credited; null where it never is. */
export function toGo(
  start: Start,
  stepMs: DurationMs = minuteMs,
): { readyMs: DurationMs | null; creditMs: DurationMs | null } {
  const { recipe, habits } = start
  const pace = paceOf(start.lagMs, stepMs)
  let { segment, creditedMs, airC, lags } = start
  let elapsedMs = start.elapsedMs
  let thereMs = start.airThereMs
  let boilsMs = start.boilsMs
  let creditMs: DurationMs | null = null
  const boilEnds = habits.boilMs ?? (start.boilsMs === null ? 0 : start.boilsMs + hourMs)
  let lineC = airC
  let isFirst = true
  let fullMs: DurationMs | null = null
  const slower = slowerOf(start)
  for (let t = 0; t < farthestMs; t += stepMs) {
    const part = recipe.segments[segment]
    const coreC = lags[2]
    if (mayBeReady(recipe, segment) && meets(recipe, coreC)) return { readyMs: t, creditMs }
    const target = endOf(recipe, Math.min(segment, recipe.segments.length - 1))
    const direction = part ? directionOf(recipe, segment) : 1
    if (part?.kind === 'ramp') {
      // A kiln that is slower now than it always was stays so for the rest of this segment.
      const can = direction > 0 ? habits.rise(airC) : habits.fall(airC)
      const rate = Math.min(part.cPerHour, (can === Infinity ? part.cPerHour : can) * (isFirst ? slower : 1))
      const step = (rate * stepMs) / hourMs
      const goalC = target + habits.holdC * Number(recipe.segments[segment + 1]?.kind === 'hold')
      airC = direction > 0 ? Math.min(airC + step, Math.max(goalC, airC)) : Math.max(airC - step, Math.min(goalC, airC))
      lineC = direction > 0 ? Math.min(lineC + step, target) : Math.max(lineC - step, target)
      const of = start.governedBy(segment)
      const slow =
        of === 'air' ? airC : of === 'load' ? coreC : direction > 0 ? Math.min(airC, coreC) : Math.max(airC, coreC)
      const beyond = direction * (slow - target)
      const isAtEnd = direction > 0 ? airC >= target - part.toleranceC : airC <= target + part.toleranceC
      if (beyond >= 0 || (isAtEnd && lineC === target && beyond >= -part.toleranceC)) {
        segment++
        ;[elapsedMs, creditedMs, thereMs, isFirst, lineC] = [0, 0, null, false, airC]
      }
    } else {
      const goal = target + habits.holdC
      // A controller brings the air back to its hold within minutes.
      airC += (goal - airC) * -Math.expm1(-stepMs / (12 * minuteMs))
      if (part) {
        const floorC = target - part.toleranceC
        const of = start.governedBy(segment)
        const isIn = (of === 'load' || airC >= floorC) && (of === 'air' || coreC >= floorC)
        if (thereMs !== null) thereMs += stepMs
        else if (airC >= floorC) thereMs = 0
        elapsedMs += stepMs
        if (isIn) creditedMs += stepMs
        if (isIn && isFirst && creditMs === null) creditMs = t
        const asked = part.minutes * minuteMs
        const isOver = part.credited === false ? elapsedMs >= asked : creditedMs >= asked
        if (isOver) {
          fullMs ??= t
          // Beyond the credit the air stays up by the kiln's own clock, or as long as somebody takes to let it go.
          const clock = part.controllerMinutes === undefined ? habits.heldMs : part.controllerMinutes * minuteMs
          const staysMs = clock === null ? habits.lingerMs - (t - fullMs) : clock - (thereMs ?? 0)
          if (part.credited === false || staysMs <= 0) {
            segment++
            ;[elapsedMs, creditedMs, thereMs, isFirst, lineC, fullMs] = [0, 0, null, false, airC, null]
          }
        }
      } else if (t > 2 * 24 * hourMs) return { readyMs: null, creditMs }
    }
    if (boilsMs !== null) {
      boilsMs += stepMs
      if (boilsMs >= boilEnds) boilsMs = null
    } else lags = follow(lags, airC + habits.offsetC, pace)
  }
  return { readyMs: null, creditMs }
}

/** °C/h of the air over the last half hour of this segment; null while it is younger than a quarter of an hour. */
function halfHourRate({ at, airC }: Course & { at: readonly EpochMs[] }, from: EpochMs): number | null {
  const last = at.length - 1
  let first = last
  while (first > 0 && last - first < 6 && (at[first - 1] as number) >= from + 2 * fiveMs) first--
  if (last - first < 3) return null
  return (((airC[last] as number) - (airC[first] as number)) * hourMs) / ((at[last] as number) - (at[first] as number))
}

/** The outlook at an instant, from what was seen up to then. */
export function outlook(
  state: BurnoutState,
  recipe: BurnoutRecipe,
  kiln: KilnLearnt | null,
  parts: { air: Watched | undefined; load: Watched | undefined; governedBy: Start['governedBy']; now: EpochMs },
): { ready: ReadyOutlook; creditFrom: EpochMs | null } {
  const none = (why: Extract<ReadyOutlook, { is: 'cannot-tell' }>['why']) => ({
    ready: { is: 'cannot-tell' as const, why },
    creditFrom: null,
  })
  if (!recipe.ready) return none('no-criterion')
  const sustainedMs = recipe.ready.minutes * minuteMs
  if (state.readySince !== null && parts.now - state.readySince >= sustainedMs)
    return { ready: { is: 'ready', since: state.readySince }, creditFrom: null }
  const { air, load } = parts
  if (!load) return none('missing')
  if (!air) return none('missing')
  if (state.losses.at(-1)?.to === null) return none('unheated')
  const newest = load.fives.at(-2)
  if (newest === undefined) return none('too-little-seen')
  if (parts.now - newest > 30 * minuteMs) return none('unseen')
  const course = courseOf(air, load)
  const lag = lagOf(course, recipe, kiln)
  if (!lag) return none('too-little-seen')
  const { walk } = state
  const habits = habitsOf(kiln, recipe)
  const span = toGo({
    recipe,
    segment: walk.segment,
    creditedMs: walk.ledgers.at(-1)?.segment === walk.segment ? (walk.ledgers.at(-1)?.creditedMs ?? 0) : 0,
    elapsedMs: parts.now - walk.since,
    airThereMs: state.airThereAt === null ? null : parts.now - state.airThereAt,
    airC: air.minutes.at(-1) ?? (course.airC.at(-1) as number),
    airCPerHour: halfHourRate(course, walk.since),
    lags: lag.lags,
    lagMs: lag.lagMs,
    boilsMs: lag.boilsSince === null ? null : (course.at.at(-1) as number) - (course.at[lag.boilsSince] as number),
    governedBy: parts.governedBy,
    habits,
  })
  const creditFrom = span.creditMs === null ? null : parts.now + span.creditMs
  if (span.readyMs === null) return { ready: { is: 'cannot-tell', why: 'held' }, creditFrom }
  const { middleMs, lowMs, highMs } = spreadOf(habits, span.readyMs)
  const at = parts.now + Math.max(0, span.readyMs + middleMs)
  return {
    ready: {
      is: 'expected',
      at,
      earliest: Math.max(parts.now, Math.min(at, parts.now + span.readyMs + lowMs)),
      latest: Math.max(at, parts.now + span.readyMs + highMs),
    },
    creditFrom,
  }
}
