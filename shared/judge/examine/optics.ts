/** How an infrared instrument stands to the probe under it, minute by minute: its share of the radiance, its best, and its departures from that. */
import { bandRadiance } from '../../physics/radiance.ts'
import { type Course, grown, lately, rangeOf, upTo } from './course.ts'
import type { Departure, Examination, Optics, Track } from './exam.ts'
import { median } from './robust.ts'
import { type Frame, ambientOf } from './roles.ts'
import type { ExaminedInstrument, ExaminedStation } from './station.ts'

/** Below this the top of the pot may be solid, and the instrument is right to read less than the probe, °C. */
export const hotC = 66
const coldC = 50
/** From here on shares are kept, so that it is known how what comes began. */
const warmC = 54
/** What shows more than wax can give is no view of an instrument that fails: then it is the probe that reads low. */
export const tooMuch = 1.06
/** A view of wax, if a badly set one: only such a one can be a best (common practice, no source). */
const viewFrom = 0.86
export const nearBest = 0.014
export const awayFromBest = 0.022
/** Within three minutes: something was moved, laid on or changed, and what was before is over. */
const leap = 0.08
const leapFrom = 12
/** Honest offsets make no better view than this; more is heat on its way. */
const bestMax = 1.005
/** While the wax heats fast, probe and surface are not at one temperature, °C in five minutes; only a share too low for wax says something. */
const fastC = 3
const whateverBelow = 0.7
const lidSteady = 0.06
const lifted = 0.12
/** A departure begins with a fall of its own, of at least this share of what is lacking, within so many minutes. */
const fallMinutes = 12
const fallShare = 0.4
/** So long near its best, the departure is over: whoever stirs by hand, stirs for less. Minutes. */
const overAfter = 15
const firstMax = 6
const unseenMinutes = 30
const viewMinutes = 5
/** How fast its best follows what it sees, a minute: up, and down; in a departure hardly. The upper edge, not the highest. */
const upShare = 0.04
const downShare = 0.004
const downAway = 0.0004

/** The share of radiance above the surroundings, against what the setting should give. */
function shareOf(seenC: number, probeC: number, ambientC: number, { infrared }: ExaminedInstrument): number | null {
  const [seen, own, around] = [bandRadiance(seenC), bandRadiance(probeC), bandRadiance(ambientC)]
  if (seen === null || own === null || around === null || own - around < 5) return null
  const set = infrared?.setEmissivity ?? 0.95
  const plain = (seen - around) / (own - around)
  // Where it takes no background off, it also shows what its setting makes of the background.
  const bare = infrared !== undefined && infrared.compensatedC === undefined
  const share = bare ? (set * seen - around) / (own - around) / set : plain
  return share * (set / (infrared?.emissivity ?? set))
}

export function newOptics(instrument: number): Optics {
  return { instrument, shares: [], best: 0, clear: 0, hotMinutes: 0, fromCold: false, departure: null }
}

export function unseen(optics: Optics): Optics {
  const shares = grown(optics.shares, [null])
  // Swung aside or switched off: what was before is over.
  const isLong = lately(shares, unseenMinutes).length === 0
  return isLong ? { ...optics, shares, hotMinutes: 0, departure: null } : { ...optics, shares }
}

function rounded(value: number): number {
  return Math.round(value * 1e4) / 1e4
}

/** It has come down itself: where the probe went up alone, the probe is the one that departs. */
function fellItself(exam: Examination, frame: Frame, i: number, seenC: number, aboveC: number, lack: number): boolean {
  const recent = lately(upTo(exam.watch.tracks[i] as Track, frame.index), fallMinutes)
  return Math.max(...recent) - seenC >= fallShare * lack * aboveC
}

function isFast(probe: Course): boolean {
  return rangeOf(probe, 6) > fastC
}

export function followed(
  station: ExaminedStation,
  exam: Examination,
  frame: Frame,
  before: Optics,
  i: number,
  probe: number,
  seenC: number,
): Optics {
  const probeC = frame.values[probe] as number
  const ambient = ambientOf(station, frame.values)
  const isSteady = !isFast(upTo(exam.watch.tracks[probe] as Track, frame.index))
  const all = probeC < warmC ? null : shareOf(seenC, probeC, ambient, station.instruments[i] as ExaminedInstrument)
  const raw = all !== null && all > whateverBelow && !isSteady ? null : all
  const cold = probeC < coldC
  const after: Optics = {
    ...before,
    shares: grown(before.shares, [raw === null ? null : rounded(raw)]),
    hotMinutes: cold ? 0 : probeC >= hotC ? before.hotMinutes + 1 : before.hotMinutes,
    fromCold: cold || before.fromCold,
    departure: cold ? null : before.departure,
  }
  if (raw === null || raw > tooMuch) return after
  const share = rounded(raw)
  const isAway = before.best > 0 ? share < before.best - awayFromBest : share < viewFrom
  if (
    isAway &&
    share > whateverBelow &&
    after.departure === null &&
    before.best > 0 &&
    !fellItself(exam, frame, i, seenC, probeC - ambient, before.best - share)
  )
    return after
  if (after.departure === null && !isAway) return withView(after, probeC >= hotC)
  return withDeparture(after, before, share, isAway)
}

/** What it showed for some while before a leap down; null where there was none. A moment of stirring is no while. */
function leaptFrom({ shares }: Optics, share: number): number | null {
  const last = lately(shares, leapFrom)
  if (last.length < leapFrom / 2) return null
  const before = median(last)
  const justBefore = last[last.length - 3] as number
  return Math.min(before, justBefore) - share > leap ? before : null
}

function withDeparture(after: Optics, before: Optics, share: number, isAway: boolean): Optics {
  const from = leaptFrom(before, share)
  if (isLifted(before, share)) return { ...after, departure: { minutes: 1, near: 0, before: null, first: [share] } }
  const running = from !== null && (after.departure?.minutes ?? 9) > 8 ? null : after.departure
  const d = running ?? { minutes: 0, near: 0, before: from ?? seenBefore(before), first: [] }
  const near = !isAway && share >= before.best - nearBest ? d.near + 1 : 0
  if (near >= overAfter) return withView({ ...after, departure: null }, true)
  const departure: Departure = {
    ...d,
    minutes: Math.min(d.minutes + 1, 100_000),
    near,
    first: d.first.length < firstMax ? [...d.first, share] : d.first,
  }
  if (!isAway) return withView({ ...after, departure }, true)
  const best = share >= viewFrom ? after.best - downAway * (after.best - share) : after.best
  return { ...after, best: Math.round(best * 1e6) / 1e6, departure }
}

/** A lid came off: from a steady low share to another, or to a view of wax. */
function isLifted({ shares }: Optics, share: number): boolean {
  const last = lately(shares, 10)
  const newest = last[last.length - 1]
  if (newest === undefined || newest >= whateverBelow) return false
  if (share >= whateverBelow) return true
  return last.length === 10 && Math.max(...last) - Math.min(...last) <= lidSteady && share - newest >= lifted
}

function seenBefore({ shares, best }: Optics): number | null {
  const last = lately(shares, 4)
  return best > 0 && last.length > 0 && Math.max(...last) >= best - 2 * nearBest ? median(last) : null
}

/** It sees well. */
function withView(optics: Optics, hot: boolean): Optics {
  const middle = Math.min(bestMax, median(lately(optics.shares, 3)))
  if (!hot || middle < viewFrom) return optics
  const clear = Math.min(optics.clear + 1, 100_000)
  const follow = Math.max(1 / clear, middle > optics.best ? upShare : downShare)
  const best = optics.best === 0 ? middle : optics.best + follow * (middle - optics.best)
  const again = lately(optics.shares, viewMinutes)
  const isSeen = again.length === viewMinutes && median(again) >= viewFrom
  return { ...optics, best: Math.round(best * 1e6) / 1e6, clear, fromCold: optics.fromCold && !isSeen }
}
