/** A burnout recipe as geometry: where its line is, which way it goes, and which probes it asks. */
import type { Appointment, BurnoutRecipe, Governs, Instrument, Segment } from '../../contract/index.ts'
import { type EpochMs, hourMs } from '../../time.ts'
import type { StationRules } from '../rules.ts'

/** Where the recipe is at the end of a segment, °C; −1 asks for its beginning. */
export function endOf(recipe: BurnoutRecipe, segment: number): number {
  for (let i = segment; i >= 0; i--) {
    const s = recipe.segments[i]
    if (s?.kind === 'ramp') return s.toC
  }
  return recipe.startC
}

/** The recipe decides whether a ramp rises or falls, not the kiln: a kiln warmer than its first ramp is past it, not cooling down to it. */
export function directionOf(recipe: BurnoutRecipe, at: number): 1 | -1 {
  const segment = recipe.segments[at]
  return segment?.kind === 'ramp' && segment.toC < endOf(recipe, at - 1) ? -1 : 1
}

/** What the line asks for, °C. The first ramp begins where the kiln really was: a warm kiln is not ahead of its recipe. */
export function targetOf(recipe: BurnoutRecipe, at: number, since: EpochMs, startedFromC: number, t: EpochMs): number {
  const segment = recipe.segments[at] as Segment
  if (segment.kind === 'hold') return endOf(recipe, at)
  const from = at === 0 ? startedFromC : endOf(recipe, at - 1)
  const direction = directionOf(recipe, at)
  const along = from + (direction * segment.cPerHour * Math.max(0, t - since)) / hourMs
  return direction > 0 ? Math.min(along, segment.toC) : Math.max(along, segment.toC)
}

const isOf = (governs: Governs, { place }: Instrument) =>
  governs === 'all' ? place === 'kiln-air' || place === 'kiln-load' : place === `kiln-${governs}`

function placed(rules: StationRules, governs: Governs): string[] {
  return rules.instruments.filter((i) => isOf(governs, i)).map((i) => i.id)
}

/** Instruments that the recipe asks for by this word; by name where it names them, the leading one where it does neither. */
function askedFor(rules: StationRules, recipe: BurnoutRecipe, governs: Governs | undefined): string[] {
  const word = governs ?? (recipe.governing.length > 0 ? undefined : recipe.governs)
  if (word !== undefined) {
    const found = placed(rules, word)
    // Air never stands in for load: a kiln without such a probe has nobody who could credit.
    return found.length > 0 ? found : [`no probe in the ${word === 'all' ? 'kiln' : word}`]
  }
  if (recipe.governing.length > 0) return recipe.governing
  const leading = rules.series[rules.leading]
  return [leading ? (rules.instruments[leading.instrument]?.id ?? '') : '']
}

/** The latest appointment holds; one that was appointed may itself be replaced. */
function appointedFor(id: string, appointed: readonly Appointment[], t: EpochMs): string {
  let now = id
  for (const { instead, probe, at } of appointed) if (at <= t && instead === now) now = probe
  return now
}

/** Who governs a segment at an instant: instruments, each once. */
export function governorsOf(
  rules: StationRules,
  recipe: BurnoutRecipe,
  segment: number,
  appointed: readonly Appointment[],
  t: EpochMs,
): string[] {
  const asked = askedFor(rules, recipe, recipe.segments[Math.min(segment, recipe.segments.length - 1)]?.governs)
  return [...new Set(asked.map((id) => appointedFor(id, appointed, t)))]
}

/** Who says that the load may be poured. */
export function readyProbesOf(
  rules: StationRules,
  recipe: BurnoutRecipe,
  appointed: readonly Appointment[],
  t: EpochMs,
): string[] {
  return [...new Set(askedFor(rules, recipe, recipe.ready?.governs).map((id) => appointedFor(id, appointed, t)))]
}

/** Whether this kiln's instrument says something of a burnout: every probe in its air and its load, and whoever governs. */
export function isWatched(rules: StationRules, recipe: BurnoutRecipe, series: number, isAppointed: boolean): boolean {
  const one = rules.series[series]
  if (one?.quantity !== 'temperature') return false
  const instrument = rules.instruments[one.instrument]
  if (!instrument) return false
  return (
    isAppointed ||
    series === rules.leading ||
    instrument.place === 'kiln-air' ||
    instrument.place === 'kiln-load' ||
    recipe.governing.includes(instrument.id)
  )
}
