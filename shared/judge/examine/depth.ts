/** Two that hang in liquid wax and differ: one touches the wall, or both are right and nobody stirred. */
import { type Course, rangeOf } from './course.ts'
import type { Examination } from './exam.ts'
import { median, quantile } from './robust.ts'
import { type Frame, depthOf } from './roles.ts'
import type { ExaminedInstrument, ExaminedStation } from './station.ts'
import type { Sign } from './suspicion.ts'

/** Both liquid, °C. */
const liquidC = 64

/** At the element a probe swings as a kilogram of wax cannot: wax falls by 0.9 °C a minute at most (own arithmetic, 1.5 kg, lid off). */
const fallC = -3
const overMinutes = 5
/** A companion that falls with it shares the fall; one that jumps up as it falls is mixed with it: somebody stirred. Shares of the fall. */
const sharedFall = 0.35
const mixedRise = 0.22
/** Of its distance it leaves no more than this share: metal loses its heat at once, a hot layer takes its time. */
const leavesUpper = 0.7
const leavesLower = 0.4
/** A layer over the floor swings with the heater too, unstirred: only beyond what it does. */
const lowerHighC = 30
const swingMinutes = 120
const excessHighC = 5
const wallNeed = 5
/** Heat comes from below: a lower one may stand above an upper one, but hardly the other way round. So far above, for so long, °C. */
const upperC = 8
const upperMinutes = 12
const upperShare = 0.6
const steadyWallNeed = 6
/** Above an infrared instrument that did not come down: it went up by itself within so many minutes, and was near it before. */
const roseMinutes = 90
const aboveInfraredC = 8
const nearInfraredC = 4
const climbShare = 0.7
/** Terminals and room, °C, from which on a wrong type is off by its share; and how near to that share it must have been. */
const warmFromC = 24
const proportional = 0.4
const usualShare = 0.8
const worstShare = 0.75

/** Stirring moves a reading by a few degrees; so much, most of the time, is layers. °C, minutes. */
const layeredC = 4.2
const layeredMinutes = 15
const layeredShare = 0.7
const layeredMaxC = 60
const climbsC = 4
const meltMinutes = 150
const climbingC = 12
const layeredNeed = 4

export interface Companions {
  /** Others in the same wax that can be believed, by index. */
  wax: readonly number[]
  /** Whatever ails an infrared instrument makes it read low: what it reads high can be believed. */
  infrared: readonly number[]
  /** Of those, the ones that are not themselves in doubt. */
  sound: readonly number[]
}

const shownBy = (frame: Frame, i: number): number => frame.values[i] as number

/** How far `a` stood above `b`, newest first, where both were liquid. */
function excessOf(a: Course, b: Course, back: number): number[] {
  const excess: number[] = []
  const n = Math.min(a.length, b.length, back)
  for (let k = 1; k <= n; k++) {
    const [x, y] = [a[a.length - k], b[b.length - k]]
    if (x != null && y != null && Math.min(x, y) >= liquidC) excess.push(x - y)
  }
  return excess
}

/** Falls of `a`, from well above `b`, that `b` neither shares nor answers by jumping up. */
function fallsAlone(a: Course, b: Course, isLower: boolean): number {
  const n = Math.min(a.length, b.length, swingMinutes)
  let [falls, quietFor] = [0, overMinutes + 3]
  const leaves = isLower ? leavesLower : leavesUpper
  for (let k = n; k > overMinutes; k--) {
    const [x0, x1] = [a[a.length - k], a[a.length - k + overMinutes]]
    const [y0, y1] = [b[b.length - k], b[b.length - k + overMinutes]]
    if (x0 == null || x1 == null || y0 == null || y1 == null || Math.min(y0, y1) < liquidC) continue
    const [da, db] = [x1 - x0, Math.max(y1, b[b.length - k + overMinutes + 2] ?? y1) - y0]
    const alone =
      da <= fallC &&
      x0 - y0 >= excessHighC &&
      x1 - y1 <= leaves * (x0 - y0) &&
      db > sharedFall * da &&
      db < -mixedRise * da
    if (alone && quietFor > overMinutes + 2) falls++
    quietFor = alone ? 0 : quietFor + 1
  }
  return falls
}

export function wallSign(
  station: ExaminedStation,
  frame: Frame,
  i: number,
  { wax, sound: infrared }: Companions,
  course: (j: number) => Course,
): Sign | null {
  for (const j of [...wax, ...infrared]) {
    if (shownBy(frame, j) < liquidC) continue
    const isInfrared = infrared.includes(j)
    const isLower = !isInfrared && !isUpper(station, i, j)
    const [own, other] = [course(i), isInfrared ? asItSees(course(j), course(i)) : course(j)]
    const excess = excessOf(own, other, swingMinutes)
    if (excess.length < upperMinutes || quantile(excess, 0.97) < (isLower ? lowerHighC : excessHighC)) continue
    const falls = fallsAlone(own, other, isLower)
    // One such fall is a top-up, a stirring or the heat on its way; a lower one swings like that without touching anything.
    if (falls >= (isLower ? 4 : 2) && stoodNear(excess)) return swingSign(j, excess, falls)
    const recent = excess.slice(0, upperMinutes)
    const above = quantile(recent, 1 - upperShare)
    const stands = isInfrared ? above >= aboveInfraredC && roseAlone(own, other) : above >= upperC && !isLower
    if (stands && !grewInProportion(own, course(j), shownBy(frame, i), shownBy(frame, j)))
      return steadySign(j, above, wax.length + infrared.length)
  }
  return null
}

/** What an infrared instrument sees, by the share of the probe that it shows at its best of late: its setting is not the probe's fault. */
function asItSees(seen: Course, probe: Course): Course {
  const shares: number[] = []
  const n = Math.min(seen.length, probe.length, swingMinutes)
  for (let k = 1; k <= n; k++) {
    const [y, x] = [seen[seen.length - k], probe[probe.length - k]]
    if (y != null && x != null && Math.min(x, y) >= liquidC) shares.push((y - warmFromC) / (x - warmFromC))
  }
  if (shares.length < upperMinutes) return seen
  const best = Math.max(worstShare, Math.min(1, quantile(shares, usualShare)))
  return seen.map((y) => (y === null ? null : warmFromC + (y - warmFromC) / best))
}

/** It has come down to the other in the meantime. */
function stoodNear(excess: readonly number[]): boolean {
  return quantile(excess, 0.9) - quantile(excess, 0.1) >= excessHighC
}

function isUpper(station: ExaminedStation, i: number, j: number): boolean {
  const depth = (k: number) => depthOf(station.instruments[k] as ExaminedInstrument)
  return depth(i) < depth(j)
}

/** From near the other to well above it by its own climb: the other has not come down. */
function roseAlone(a: Course, b: Course): boolean {
  const n = Math.min(a.length, b.length, roseMinutes)
  let [x1, y1, highest] = [Number.NaN, Number.NaN, Number.NEGATIVE_INFINITY]
  for (let k = 1; k <= n; k++) {
    const [x, y] = [a[a.length - k], b[b.length - k]]
    if (x == null || y == null) continue
    const excess = x - y
    // Backward in time: the last moment at which it stood well above, then the last before that at which it was near.
    if (excess >= aboveInfraredC) [x1, y1, highest] = [x, y, y]
    else highest = Math.max(highest, y)
    if (excess > nearInfraredC || Math.min(x, y) < liquidC) continue
    const gained = x1 - y1 - excess
    return x1 - x >= climbShare * gained && highest - y1 <= (1 - climbShare) * gained
  }
  return false
}

function swingSign(against: number, excess: readonly number[], falls: number): Sign {
  const high = quantile(excess, 0.95)
  return {
    kind: 'at-the-wall',
    against,
    need: wallNeed,
    evidence: [
      { what: 'above the other by', value: high, unit: '°C', usual: 0 },
      { what: 'falls not shared', value: falls, unit: '' },
    ],
    ruledOut: [
      {
        kind: 'not-stirred',
        evidence: { what: 'swing of the difference', value: high - quantile(excess, 0.1), unit: '°C' },
      },
    ],
  }
}

function steadySign(against: number, above: number, others: number): Sign {
  return {
    kind: 'at-the-wall',
    against,
    need: steadyWallNeed,
    evidence: [{ what: 'above the other by', value: above, unit: '°C', usual: 0 }],
    ruledOut: [{ kind: 'not-stirred', evidence: { what: 'others that agree', value: others, unit: '' } }],
  }
}

/** Off by the same share already when the pot was lukewarm: a wrong type is, heat from a wall is not. */
function grewInProportion(a: Course, b: Course, value: number, next: number): boolean {
  const now = (value - warmFromC) / (next - warmFromC)
  const shares: number[] = []
  const n = Math.min(a.length, b.length)
  for (let k = 1; k <= n; k++) {
    const [x, y] = [a[a.length - k], b[b.length - k]]
    if (x != null && y != null && y > 40 && y < 60) shares.push((x - warmFromC) / (y - warmFromC))
  }
  return shares.length >= 3 && Math.abs(median(shares) - now) < proportional * (now - 1)
}

/** Told of the cooler of two: it is not wrong, and the hotter is not either. */
export function layersSign(
  station: ExaminedStation,
  exam: Examination,
  frame: Frame,
  i: number,
  { wax }: Companions,
  course: (j: number) => Course,
): Sign | null {
  for (const j of wax) {
    if (station.instruments[i]?.place === station.instruments[j]?.place || shownBy(frame, i) < liquidC) continue
    if (exam.watch.suspicions.some((s) => s.instrument === j && s.kind === 'at-the-wall')) continue
    const excess = excessOf(course(j), course(i), layeredMinutes)
    if (excess.length < layeredMinutes / 2) continue
    const difference = quantile(excess, 1 - layeredShare)
    if (difference < layeredC || difference > layeredMaxC) continue
    const melt = exam.watch.melts[i]
    if (melt?.fromCold && melt.otherHot < meltMinutes && difference < climbingC) continue
    // While the heat climbs through it, layers are no more than that.
    if (difference < climbingC && rangeOf(course(i), layeredMinutes) > climbsC) continue
    // An upper one that is so much hotter is no layer.
    if (difference >= upperC && isUpper(station, j, i)) continue
    return {
      kind: 'not-stirred',
      against: j,
      need: layeredNeed,
      evidence: [
        { what: 'below the other by', value: difference, unit: '°C', usual: 0 },
        { what: 'least difference lately', value: Math.min(...excess), unit: '°C' },
      ],
      ruledOut: [{ kind: 'at-the-wall', evidence: { what: 'below the other by', value: difference, unit: '°C' } }],
    }
  }
  return null
}
