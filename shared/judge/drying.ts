/** A drying: how the room kept the recipe's climate band since the run began, in seen time only. */
import type { DryingRecipe, DryingView, Run } from '../contract/index.ts'
import type { Sample } from '../series/columns.ts'
import type { EpochMs } from '../time.ts'
import { type Delays, roomyDeadband } from './calm.ts'
import { type Moment, see, turnAt, untouched } from './condition.ts'
import { clear, type Draft, raise, type Scene, touch } from './draft.ts'
import { lay, type Overlap, overlapOf, stretchWithin, watches } from './overlap.ts'
import type { SeriesRules, StationRules } from './rules.ts'
import { isLost, seenValue } from './sight.ts'
import type { Condition, RunState, SeriesState, StationState } from './state.ts'

/** A room is not a run-away pot: five minutes outside before anybody is called. Common practice, no source. */
const delays: Delays = { onMs: 300_000, offMs: 120_000 }

const bandQuantities = ['temperature', 'humidity'] as const
type BandQuantity = (typeof bandQuantities)[number]
const deadband: Record<BandQuantity, number> = { temperature: 0.2, humidity: 1 }

export function beginDrying(run: Omit<Run, 'progress'>, recipe: DryingRecipe): RunState {
  const progress: DryingView = {
    kind: 'drying',
    temperatureC: null,
    humidity: null,
    seenMs: 0,
    inBandMs: 0,
    outSince: null,
  }
  const none: Overlap = { upTo: run.startedAt, lanes: [] }
  return {
    run: { ...run, progress },
    recipe,
    conditions: bandQuantities.map(untouched),
    overlaps: [none, none],
    outSince: [null, null],
  }
}

interface Band {
  from: number
  to: number
}

function bandOf(recipe: DryingRecipe, quantity: BandQuantity): Band | null {
  if (quantity === 'temperature') return { from: recipe.temperature.fromC, to: recipe.temperature.toC }
  return recipe.humidity ?? null
}

/** The series that must all be in band: the room's temperature, and its humidity where the recipe asks for one. A room without the
 *  series has a lane that nobody lays anything on: then nothing is seen and nothing is in band. */
function lanesOf(rules: StationRules, recipe: DryingRecipe): string[] {
  const temperature = rules.series[rules.leading]?.series ?? 'temperature'
  return recipe.humidity ? [temperature, rules.series[rules.leadingHumidity]?.series ?? 'humidity'] : [temperature]
}

interface Look {
  at: number
  quantity: BandQuantity
  band: Band
  value: number
}

function judgeBand(draft: Draft, scene: Scene, run: RunState, look: Look, moment: Moment): RunState {
  const { at, quantity, band, value } = look
  const { t, fresh } = moment
  const before = run.conditions[at] as Condition
  const slack = before.finding === null ? 0 : roomyDeadband(deadband[quantity], band.to - band.from)
  const out = value < band.from + slack || value > band.to - slack
  let after = see(before, out, moment)
  const turn = fresh ? turnAt(after, t, delays) : null
  if (turn === 'raise') {
    const side = value < band.from ? 'below' : 'above'
    const facts = { run: run.run.id, quantity, value, from: band.from, to: band.to, side } as const
    const subject = `${run.run.id}:${quantity}`
    after = {
      ...after,
      finding: raise(draft, scene, { kind: 'outside-recipe-band', subject, since: after.since ?? t, facts }),
    }
  }
  if (turn === 'clear' && after.finding) {
    clear(draft, scene, after.finding, after.backSince ?? t)
    after = untouched(after.key)
  }
  return after === before ? run : { ...run, conditions: run.conditions.with(at, after) }
}

/** Since when it is outside: from the crossing where that was seen, else from the first value outside. */
function outSince(
  before: EpochMs | null,
  last: Sample | null,
  now: Sample,
  band: Band,
  broken: boolean,
): EpochMs | null {
  if (now.v >= band.from && now.v <= band.to) return null
  if (broken) return now.t
  const crossing = last?.good ? stretchWithin(last, now, band.from, band.to)?.[1] : undefined
  return before ?? Math.round(crossing ?? now.t)
}

function earliest(times: readonly (EpochMs | null)[]): EpochMs | null {
  return times.reduce((least, t) => (least === null || (t !== null && t < least) ? t : least), null)
}

/** Lays the sample on what was seen and on what was in band; gives back by how much both grew. */
function layBoth(
  run: RunState,
  ids: readonly string[],
  rules: SeriesRules,
  sample: Sample,
  band: Band,
): [overlaps: Overlap[], seenMs: number, inBandMs: number] {
  const [seen, inside] = run.overlaps.map((o) =>
    watches(o, ids) ? o : overlapOf(ids, Math.max(o.upTo, run.run.startedAt)),
  ) as [Overlap, Overlap]
  const [seenNext, seenMs] = lay(seen, rules.series, sample, rules.silenceMs, (a, b) => [a.t, b.t])
  const [insideNext, inBandMs] = lay(inside, rules.series, sample, rules.silenceMs, (a, b) =>
    stretchWithin(a, b, band.from, band.to),
  )
  return [[seenNext, insideNext], seenMs, inBandMs]
}

export function stepDrying(
  draft: Draft,
  scene: Scene,
  station: StationState,
  before: RunState,
  series: number,
  moment: Moment,
): RunState {
  const state = station.series[series] as SeriesState
  const rules = scene.rules.series[series] as SeriesRules
  const recipe = before.recipe as DryingRecipe
  const at = series === scene.rules.leading ? 0 : 1
  const quantity = bandQuantities[at] as BandQuantity
  const band = bandOf(recipe, quantity)
  if (!band) return lookAtRoom(scene, station, before)

  const ids = lanesOf(scene.rules, recipe)
  const sample: Sample = { t: moment.t, v: state.value, good: state.quality !== 'bad' }
  const last = before.overlaps[0]?.lanes[at]?.last ?? null
  const [overlaps, seenMs, inBandMs] = layBoth(before, ids, rules, sample, band)
  const view = before.run.progress as DryingView
  const progress = { ...view, seenMs: view.seenMs + seenMs, inBandMs: view.inBandMs + inBandMs }
  let run: RunState = { ...before, overlaps, run: { ...before.run, progress } }
  if (sample.good) {
    run = {
      ...run,
      outSince: run.outSince.with(at, outSince(run.outSince[at] ?? null, last, sample, band, moment.broken)),
    }
    run = judgeBand(draft, scene, run, { at, quantity, band, value: state.value }, moment)
  }
  return lookAtRoom(scene, station, run)
}

/** What the room is now, as far as it is seen now: an old value is no value. */
function lookAtRoom(scene: Scene, station: StationState, run: RunState): RunState {
  const { leading, leadingHumidity } = scene.rules
  const view = run.run.progress as DryingView
  const temperatureC = seenValue(scene, station, leading)
  const humidity = seenValue(scene, station, leadingHumidity)
  const out = run.outSince.map((since, i) =>
    isLost(scene, station, i === 0 ? leading : leadingHumidity) ? null : since,
  )
  const since = earliest(out)
  if (view.temperatureC === temperatureC && view.humidity === humidity && view.outSince === since) return run
  return { ...run, outSince: out, run: { ...run.run, progress: { ...view, temperatureC, humidity, outSince: since } } }
}

/** Time passed: a room that is no longer seen has no climate. */
export function waitDrying(draft: Draft, scene: Scene, station: StationState, run: RunState): RunState {
  const next = lookAtRoom(scene, station, run)
  if (next !== run) touch(draft, scene.rules.station.id)
  return next
}
