/** How an infrared instrument stands to the probe under it, minute by minute: its share of the radiance, its best, and how long it was low. */
import { bandRadiance } from '../../physics/radiance.ts'
import { grown, lately } from './course.ts'
import type { Optics } from './exam.ts'
import { lineThrough, median } from './robust.ts'
import { type Frame, ambientOf } from './roles.ts'
import type { ExaminedInstrument, ExaminedStation } from './station.ts'

/** Below this the top of the pot may be solid, and the instrument is right to read less than the probe, °C. */
const hotC = 68
const coldC = 50
/** A plug melts for so long over wax that is hot already; earlier nothing is asked. Minutes. */
export const settledMinutes = 60
/** A share from here on is a view of wax: true emissivities of 0.85 and more against a setting of 0.95 (common practice, no source). */
export const clearShare = 0.86
export const tooMuch = 1.06
const slopeSpanC = 25
export const nearBest = 0.012
export const awayFromBest = 0.022
const bandFromC = 60
const bandC = 10
const bands = 14

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
  return {
    instrument,
    shares: [],
    best: 0,
    clear: 0,
    sinceBest: 0,
    lifts: 0,
    low: false,
    lowMinutes: 0,
    fell: false,
    bestLow: 0,
    hotMinutes: 0,
    bands: Array.from({ length: bands }, () => ({ n: 0, seen: 0, own: 0 })),
  }
}

export function unseen(optics: Optics): Optics {
  return { ...optics, shares: grown(optics.shares, [null]) }
}

function rounded(value: number): number {
  return Math.round(value * 1e4) / 1e4
}

export function followed(
  station: ExaminedStation,
  frame: Frame,
  before: Optics,
  i: number,
  probe: number,
  seenC: number,
): Optics {
  const probeC = frame.values[probe] as number
  const hotMinutes = probeC >= hotC ? before.hotMinutes + 1 : probeC < coldC ? 0 : before.hotMinutes
  const share =
    probeC < hotC
      ? null
      : shareOf(seenC, probeC, ambientOf(station, frame.values), station.instruments[i] as ExaminedInstrument)
  const shares = grown(before.shares, [share === null ? null : rounded(share)])
  if (share === null) return { ...before, shares, hotMinutes, lowMinutes: hotMinutes === 0 ? 0 : before.lowMinutes }
  if (share < clearShare) {
    const lowMinutes = before.lowMinutes + 1
    const fell = before.lowMinutes === 0 ? hasFallen(before.shares) : before.fell
    const bestLow = Math.max(before.bestLow - 1e-4, median(lately(shares, 3)))
    return { ...before, shares, hotMinutes, lowMinutes, fell, bestLow: rounded(bestLow) }
  }
  // More than wax can give: then it is the probe that reads low.
  if (share > tooMuch) return { ...before, shares, hotMinutes }
  if (hotMinutes < settledMinutes) return { ...before, shares, hotMinutes, lowMinutes: 0, bestLow: 0 }
  return withClearView({ ...before, shares, hotMinutes, lowMinutes: 0, bestLow: 0 }, share, seenC, probeC)
}

/** Whether it saw well a moment before. */
function hasFallen(shares: Optics['shares']): boolean {
  return lately(shares, 4).some((s) => s >= clearShare)
}

function withClearView(optics: Optics, share: number, seenC: number, probeC: number): Optics {
  const recent = lately(optics.shares, 3)
  const middle = median(recent)
  const best =
    middle > optics.best
      ? optics.best + (optics.best === 0 ? middle : 0.4 * (middle - optics.best))
      : optics.best - 2e-5
  const near = share >= best - nearBest
  const away = share < best - awayFromBest
  const band = Math.floor((probeC - bandFromC) / bandC)
  const known = optics.bands[band]
  // Only what it sees at its best: the skin of still wax would bend the line.
  const bandsNow =
    known && near
      ? optics.bands.with(band, inBand(known, bandRadiance(seenC) as number, bandRadiance(probeC) as number))
      : optics.bands
  return {
    ...optics,
    best: Math.round(best * 1e6) / 1e6,
    clear: Math.min(optics.clear + 1, 100_000),
    sinceBest: near ? 0 : optics.sinceBest + 1,
    lifts: optics.low && near && optics.sinceBest >= 10 ? optics.lifts + 1 : optics.lifts,
    low: near ? false : away || optics.low,
    bands: bandsNow,
  }
}

/** A mean that forgets after some four hours in its band. */
function inBand({ n, seen, own }: Optics['bands'][number], seenL: number, ownL: number): Optics['bands'][number] {
  const weight = 1 / Math.min(n + 1, 240)
  const kept = (value: number, next: number) => Math.round((value + weight * (next - value)) * 1e4) / 1e4
  return { n: Math.min(n + 1, 240), seen: kept(seen, seenL), own: kept(own, ownL) }
}

/** The line of its radiance on the probe's, through bands that span enough: no honest offset bends its slope. */
export function slopeOf({ bands }: Optics): { slope: number; span: number } | null {
  const known = bands.flatMap((band, k) => (band.n >= 8 ? [{ ...band, k }] : []))
  const [first, last] = [known[0], known[known.length - 1]]
  if (!first || !last || (last.k - first.k) * bandC < slopeSpanC) return null
  const line = lineThrough(
    known.map(({ own }) => own),
    known.map(({ seen }) => seen),
  )
  return line === null ? null : { slope: line.slope, span: (last.k - first.k) * bandC }
}
