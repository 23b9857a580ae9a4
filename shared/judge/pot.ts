/** A pot in the judge: every value of its wax goes to its forecast and its care; what they say is its view. */
import type { EntryOf, PotView, Reach, WaxRecipe, WindowOutlook } from '../contract/index.ts'
import { type EpochMs, minuteMs } from '../time.ts'
import { careFor, ceilingOf, conditioningOf, renewed, stirred, worked } from './care/index.ts'
import type { Moment } from './condition.ts'
import type { Draft, Scene } from './draft.ts'
import { type CourseSample, follow, phaseOf, rateOf, reach, trailOf } from './forecast/index.ts'
import type { PotRules } from './pot-rules.ts'
import type { PotState } from './pot-state.ts'
import { seenUntil, seenValue } from './sight.ts'
import type { House, StationState } from './state.ts'

/** Below this the supply of a heater carries nothing but its lamp, A. */
const drawsA = 0.2

/** How far the trail looks ahead, and in how many points. Reason: beyond half an hour a forecast of wax is told in words only. */
const trailMs = 30 * minuteMs
const trailPoints = 16

/** What the air around a pot is, °C; null where nobody sees it. */
function airAt(house: House, rules: PotRules, at: EpochMs): number | null {
  const where = rules.air === null ? undefined : house.rules.seriesAt.get(`${rules.air}.temperature`)
  if (!where) return null
  const series = house.rules.stations[where.station]?.series[where.series]
  const state = house.stations[where.station]?.series[where.series]
  return series && state && state.quality !== 'bad' && at <= seenUntil(series, state) ? state.value : null
}

/** The series whose values move the forecast: the wax by contact; its surface while no contact sees it. */
function leads(scene: Scene, station: StationState, pot: PotRules): number {
  return pot.wax >= 0 && (pot.surface < 0 || seenValue(scene, station, pot.wax) !== null) ? pot.wax : pot.surface
}

function sampleAt(scene: Scene, station: StationState, pot: PotRules, t: EpochMs): CourseSample {
  const value = (series: number) => (series < 0 ? null : seenValue(scene, station, series))
  const current = value(pot.heater)
  return {
    t,
    waxC: value(pot.wax),
    surfaceC: value(pot.surface),
    airC: airAt(scene.house, pot, scene.at),
    heating: current === null ? null : current > drawsA,
  }
}

/** One value of this station was judged. */
export function potReading(
  draft: Draft,
  scene: Scene,
  station: StationState,
  series: number,
  moment: Moment,
  entry: EntryOf<'reading'>,
): StationState {
  const rules = scene.rules.pot
  if (rules === null || station.pot === null || entry.quality === 'bad') return station
  if (series !== leads(scene, station, rules) || station.series[series]?.quality === 'bad') return station
  const sample = sampleAt(scene, station, rules, moment.t)
  const course = follow(station.pot.course, sample, rules.facts)
  const care = careFor(draft, scene, rules, station.pot.care, sample, moment.fresh)
  return { ...station, pot: { course, care } }
}

const deeds = { stirred, 'new-wax': renewed, coat: worked } as const

/** Somebody stirred, put new wax in, or took a coat from it. */
export function potDeed(station: StationState, act: keyof typeof deeds, at: EpochMs): StationState {
  if (station.pot === null) return station
  const { course, care } = station.pot
  return { ...station, pot: { course, care: deeds[act](care, at) } }
}

function stay(opens: Reach, shuts: Reach, now: EpochMs): WindowOutlook['stays'] {
  if (shuts.is !== 'reaches') return null
  const open = opens.is === 'there' ? { at: now, earliest: now, latest: now } : opens
  if (!('at' in open)) return null
  // Both ends hang on the same cooling: an early opening shuts early.
  const ends = [shuts.at - open.at, shuts.earliest - open.earliest, shuts.latest - open.latest].map((ms) =>
    Math.max(0, ms),
  )
  return { ms: ends[0] as number, leastMs: Math.min(...ends), mostMs: Math.max(...ends) }
}

/** When a window opens and shuts for wax that goes as it goes, or were it switched off. */
function outlook(pot: PotState, rules: PotRules, recipe: WaxRecipe, waxC: number | null, now: EpochMs, off: boolean) {
  return recipe.coats.map(({ id, window: { fromC, toC } }): WindowOutlook => {
    const wax = waxC === null ? null : waxC > toC ? 'above' : waxC < fromC ? 'below' : 'in'
    const when = (targetC: number) => reach(pot.course, rules.facts, targetC, now, off)
    const falls = off || (rateOf(pot.course) ?? 0) < 0
    const opens: Reach =
      wax === 'in'
        ? { is: 'there' }
        : wax === null
          ? { is: 'cannot-tell', why: 'unseen' }
          : when(wax === 'above' ? toC : fromC)
    const through = wax === 'above' || (wax === 'in' && falls)
    const shuts: Reach = wax === null ? { is: 'cannot-tell', why: 'unseen' } : when(through ? fromC : toC)
    return { coat: id, wax, opens, shuts, stays: stay(opens, shuts, now) }
  })
}

/** What the bench shows of a pot; null where the station is none. */
export function potView(house: House, index: number): PotView | null {
  const rules = house.rules.stations[index]
  const station = house.stations[index]
  if (!rules?.pot || !station?.pot) return null
  const scene: Scene = { rules, seq: house.seq, at: house.at, house }
  const pot = rules.pot
  const run = station.runs.find((r) => r.recipe.kind === 'wax')
  const recipe = (run?.recipe as WaxRecipe | undefined) ?? pot.recipe
  const { course, care } = station.pot
  const { at } = house
  const waxC = seenValue(scene, station, leads(scene, station, pot))
  const phase = waxC === null ? 'unseen' : phaseOf(course, pot.facts, at)
  const view: PotView = {
    phase,
    waxC,
    cPerMinute: waxC === null ? null : rateOf(course),
    heating: sampleAt(scene, station, pot, at).heating,
    recipe: recipe === null ? null : { id: recipe.id, revision: recipe.revision },
    windows: recipe === null ? [] : outlook(station.pot, pot, recipe, waxC, at, false),
    trail: waxC === null ? [] : trailOf(course, pot.facts, at, trailMs, trailPoints),
    conditioning: conditioningOf(pot, care, waxC),
    ceiling: ceilingOf(pot, care, at),
    waxHours: care.waxHours,
    batchSince: care.batchSince,
    onSince: care.onSince,
  }
  if (recipe !== null && (phase === 'held' || phase === 'heating'))
    view.letDown = outlook(station.pot, pot, recipe, waxC, at, true)
  return view
}
