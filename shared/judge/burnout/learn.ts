/** What a kiln has taught: how its loads lag, where its air holds, how long it stands at the boil, and how far its forecasts were off. */
import type { BurnoutRecipe } from '../../contract/index.ts'
import { type DurationMs, hourMs, minuteMs } from '../../time.ts'
import type { Prior } from './lag.ts'

/** One burnout of the past. */
export interface Lesson {
  /** The class of its load, and its thickness where the recipe says it. */
  load: string
  thicknessMm: number | null
  lagMs: DurationMs
  /** Load − air when neither moved any more, K; null where they never stood still. */
  offsetC: number | null
  /** Air − target while it held, K. */
  holdC: number | null
  /** How long the load stood at the boil. */
  boilMs: DurationMs
  /** How long the air held, and how long it still did when the credit was full. */
  heldMs: DurationMs | null
  lingerMs: DurationMs | null
  /** How fast the air rose and fell in each band of `bandC` from 0 °C on, °C/h; null where it did not pass. */
  rises: readonly (number | null)[]
  falls: readonly (number | null)[]
  /** What was forecast on the way, and what came: pairs of ms still to go. */
  wagers: readonly (readonly [forecastMs: number, trueMs: number])[]
}

/** Width and number of the bands in which a kiln's rates are kept. */
export const bandC = 50
export const bands = 26

export interface KilnLearnt {
  /** The newest last. */
  lessons: readonly Lesson[]
}

const lessonsMax = 12

export function withLesson(kiln: KilnLearnt | null, lesson: Lesson): KilnLearnt {
  return { lessons: [...(kiln?.lessons ?? []), lesson].slice(-lessonsMax) }
}

export const loadOf = (recipe: BurnoutRecipe) => recipe.load?.name ?? recipe.id

/** Lessons of the same class, brought to this thickness; of every other one that has a thickness where there is none. */
function likeness(kiln: KilnLearnt | null, recipe: BurnoutRecipe): { logMs: number }[] {
  const thickness = recipe.load?.thicknessMm ?? null
  const all = kiln?.lessons ?? []
  const same = all.filter((l) => l.load === loadOf(recipe))
  const scaled = (l: Lesson) => ({
    logMs:
      Math.log(l.lagMs) + (thickness !== null && l.thicknessMm !== null ? 2 * Math.log(thickness / l.thicknessMm) : 0),
  })
  if (same.length > 0) return same.map(scaled)
  return thickness === null ? [] : all.filter((l) => l.thicknessMm !== null).map(scaled)
}

/**
 * Without a lesson: a solid body of this thickness with a diffusivity of 3.5e-7 m²/s (TRADE 3.3), (d/2)²/(5.78 α); a shell, or a load of unknown
 * thickness, a quarter of an hour. Spread wide: it is a guess.
 */
function guess(recipe: BurnoutRecipe): Prior {
  const thickness = recipe.load?.thicknessMm
  const isThick = thickness !== undefined && recipe.load?.kind === 'solid'
  const ms = isThick ? (1_000 * (thickness / 2_000) ** 2) / (5.78 * 3.5e-7) + 20 * minuteMs : 15 * minuteMs
  return { logMs: Math.log(ms), spread: isThick ? 0.6 : 1.2 }
}

const mean = (values: readonly number[]) => values.reduce((sum, v) => sum + v, 0) / values.length

export function priorOf(kiln: KilnLearnt | null, recipe: BurnoutRecipe): Prior {
  const alike = likeness(kiln, recipe)
  if (alike.length === 0) return guess(recipe)
  const middle = mean(alike.map((l) => l.logMs))
  const spread = Math.sqrt(
    (alike.reduce((sum, l) => sum + (l.logMs - middle) ** 2, 0) + 0.25 ** 2) / Math.max(1, alike.length),
  )
  return { logMs: middle, spread: Math.max(0.12, spread) }
}

function median(values: readonly number[]): number | null {
  if (values.length === 0) return null
  const sorted = [...values].sort((a, b) => a - b)
  const middle = sorted.length >> 1
  return sorted.length % 2 === 1
    ? (sorted[middle] as number)
    : ((sorted[middle - 1] as number) + (sorted[middle] as number)) / 2
}

export interface Habits {
  offsetC: number
  holdC: number
  boilMs: DurationMs | null
  /** It holds so long by its own clock; null: it waits for the credit. */
  heldMs: DurationMs | null
  /** And so long beyond it. */
  lingerMs: DurationMs
  /** The fastest that it goes at a temperature, °C/h; Infinity where nobody has seen. */
  rise: (c: number) => number
  fall: (c: number) => number
  wagers: readonly (readonly [number, number])[]
  burnouts: number
}

/** Middle distance from the middle. */
function apart(values: readonly number[]): number {
  const middle = median(values) ?? 0
  return median(values.map((v) => Math.abs(v - middle))) ?? 0
}

/** Between the middles of two bands the rate runs straight. */
function pacesOf(lessons: readonly Lesson[], pick: (l: Lesson) => readonly (number | null)[]): (c: number) => number {
  const rates = Array.from({ length: bands }, (_, i) => median(lessons.slice(-4).flatMap((l) => pick(l)[i] ?? [])))
  return (c) => {
    const at = c / bandC - 0.5
    const low = Math.min(bands - 1, Math.max(0, Math.floor(at)))
    const [a, b] = [rates[low] ?? null, rates[Math.min(bands - 1, low + 1)] ?? null]
    if (a === null || b === null) return a ?? b ?? Infinity
    return a + (b - a) * Math.min(1, Math.max(0, at - low))
  }
}

export function habitsOf(kiln: KilnLearnt | null, recipe: BurnoutRecipe): Habits {
  const all = kiln?.lessons ?? []
  const same = all.filter((l) => l.load === loadOf(recipe))
  const of = (pick: (l: Lesson) => number | null, from: readonly Lesson[] = same) =>
    median(from.flatMap((l) => pick(l) ?? []))
  const holds = same.flatMap((l) => l.heldMs ?? [])
  const lingers = all.flatMap((l) => l.lingerMs ?? [])
  // Whichever of the two was more alike from burnout to burnout is the habit: its clock, or the credit.
  const byClock = holds.length >= 2 && lingers.length >= 2 && apart(holds) < 0.5 * apart(lingers)
  return {
    offsetC: of((l) => l.offsetC) ?? of((l) => l.offsetC, all) ?? 0,
    holdC: of((l) => l.holdC, all) ?? 0,
    boilMs: of((l) => l.boilMs),
    heldMs: byClock ? median(holds) : null,
    lingerMs: Math.max(0, median(lingers) ?? 0),
    rise: pacesOf(same.length > 1 ? same : all, (l) => l.rises),
    fall: pacesOf(same.length > 1 ? same : all, (l) => l.falls),
    wagers: (same.length > 0 ? same : all).flatMap((l) => l.wagers),
    burnouts: same.length,
  }
}

/** Of what is to go, where nothing was learnt. */
const guessed = 0.13

/** How far the truth may lie from a forecast of so many ms, four times in five, and where its middle is: what was learnt, between a wide guess. */
export function spreadOf(habits: Habits, toGoMs: DurationMs): { middleMs: number; lowMs: number; highMs: number } {
  // Errors grow with what is still to go, but not from nothing.
  const scale = (ms: number) => ms + 10 * minuteMs
  const near = habits.wagers
    .filter(([ms]) => Math.abs(Math.log(scale(ms) / scale(toGoMs))) < 0.7)
    .map(([ms, trueMs]) => (trueMs - ms) / scale(ms))
    .sort((a, b) => a - b)
  const share = near.length / (near.length + 9)
  const at = (q: number) => near[Math.min(near.length - 1, Math.floor(q * near.length))] ?? 0
  const middle = share * at(0.5)
  const [low, high] = [share * at(0.1) - (1 - share) * guessed, share * at(0.9) + (1 - share) * guessed]
  const whole = scale(toGoMs)
  return {
    middleMs: middle * whole,
    lowMs: Math.min(low, middle - 0.01) * whole,
    highMs: Math.max(high, middle + 0.01) * whole,
  }
}

/** Farther away than this nothing is said. */
export const farthestMs = 10 * 24 * hourMs
