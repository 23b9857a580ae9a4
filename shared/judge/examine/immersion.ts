/** Probes in the wax: at the wall, out of the wax, in the solid, or right and yet apart because nobody stirred. */
import type { Doubt, Evidence } from '../../contract/index.ts'
import { type Course, changesOf, lately, rangeOf, upTo } from './course.ts'
import type { Examination, Melt, Track, Watch } from './exam.ts'
import { lineThrough, median, quantile } from './robust.ts'
import { type Frame, ambientOf } from './roles.ts'
import type { ExaminedStation } from './station.ts'
import { isTold, type Look, type Sign, type Suspicion } from './suspicion.ts'

/** Pattern waxes congeal and melt between 50 and 66 °C (published specifications: 61–63 °C congealing; other blends from 57 to 74). */
const coldC = 45
const liquidC = 66
const solidC = 52
const hotC = 68

/** In the air or in the plug a probe stands tens of degrees below the wax (common practice, no source). */
const lowByC = 25
/** Of what the other stands above the surroundings, it shows less than this share. Above melting only less than half is air. */
const lowShare = 0.62
const lowShareLiquid = 0.5
const lowNeed = 12
const solidNeed = 8
const belowRoomC = 8
/** A plug is through after this long over hot wax; what still reads low then hangs in the air. Minutes. */
const meltMinutes = 180
/** Where nobody saw the pot cold, this long must pass before it is called air. */
const unseenMeltMinutes = 90

/** At the element a probe swings as a kilogram of wax cannot: wax falls by 0.9 °C a minute at most (own arithmetic, 1.5 kg, lid off). */
const fallC = -3
const overMinutes = 5
/** A companion that falls by less than this share of it does not share the fall. */
const sharedFall = 0.35
const swingMinutes = 120
const fallsMin = 2
const excessHighC = 5
const excessLowC = -6
const swingC = 5
const wallNeed = 10
/** Without swings: so far above two that agree with each other, or above a single one. */
const aboveTwoC = 12
const agreeC = 5
const aboveOneC = 20
const steadyWallNeed = 30
/** Terminals and room, °C, from which on a wrong type is off by its share; and how near to that share it must have been. */
const warmFromC = 24
const proportional = 0.4

/** Stirring moves a reading by a few degrees; twice a tolerance of ±2.2 °C lies below this, °C. */
const layeredC = 5
/** Less is enough where the difference has been seen to vanish at once: each is right, the wax is not mixed. */
const layeredAfterStirC = 4.5
const stirredShare = 0.4
/** Layers stay; what comes and goes with the heat is no layer. Share of the difference that stands all the while. */
const layersSteady = 0.6
const layeredMaxC = 16
const heatingC = 8
const layeredNeed = 28

interface Companions {
  /** Others in the same wax that can be believed, by index. */
  wax: readonly number[]
  /** Whatever ails an infrared instrument makes it read low: what it reads high can be believed. */
  infrared: readonly number[]
  /** Of those, the ones that are not themselves in doubt. */
  sound: readonly number[]
}

const newMelt: Melt = { liquid: false, otherHot: 0, fromCold: false }

function companionsOf(exam: Examination, frame: Frame, i: number): Companions {
  const told = (j: number, wrong: (s: Suspicion) => boolean) =>
    exam.watch.suspicions.some((s) => s.told && s.instrument === j && wrong(s))
  const of = (role: string) =>
    frame.roles.flatMap((r, j) => (r === role && j !== i && frame.values[j] !== null ? [j] : []))
  const wax = of('wax').filter((j) => !told(j, (s) => s.family === 'pair' || isWrongDepth(s.kind)))
  const infrared = of('infrared')
  return {
    wax,
    infrared,
    sound: infrared.filter((j) => !told(j, (s) => s.family === 'infrared' || s.family === 'blind')),
  }
}

function isWrongDepth(kind: string): boolean {
  return kind === 'at-the-wall' || kind === 'out-of-wax' || kind === 'in-solid'
}

const shownBy = (frame: Frame, i: number): number => frame.values[i] as number

function meltAfter(melt: Melt, value: number, hottest: number): Melt {
  if (Math.max(value, hottest) < coldC) return { liquid: false, otherHot: 0, fromCold: true }
  const liquid = melt.liquid || value >= liquidC - 2
  const otherHot = hottest >= hotC ? Math.min(melt.otherHot + 1, 10_000) : melt.otherHot
  return liquid === melt.liquid && otherHot === melt.otherHot ? melt : { ...melt, liquid, otherHot }
}

function hottestOf(
  frame: Frame,
  { wax, infrared }: Pick<Companions, 'wax' | 'infrared'>,
): { at: number; value: number } {
  let best = { at: -1, value: -Infinity }
  for (const j of [...wax, ...infrared]) if (shownBy(frame, j) > best.value) best = { at: j, value: shownBy(frame, j) }
  return best
}

export function lookAtImmersion(station: ExaminedStation, exam: Examination, frame: Frame): [Watch, readonly Look[]] {
  const probes = frame.roles.flatMap((role, i) => (role === 'wax' ? [i] : []))
  if (probes.length === 0) return [exam.watch, []]
  const melts = exam.watch.melts.length === 0 ? station.instruments.map(() => newMelt) : exam.watch.melts.slice()
  const looks: Look[] = []
  const ambient = ambientOf(station, frame.values)
  for (const i of probes) {
    const value = frame.values[i]
    if (value == null || isTold(exam.watch.suspicions, i, ['pair'])) continue
    const companions = companionsOf(exam, frame, i)
    const hottest = hottestOf(frame, companions)
    const melt = meltAfter(melts[i] as Melt, value, hottest.value)
    melts[i] = melt
    const look = lookAtProbe(station, exam, frame, i, companions, hottest, melt, ambient)
    if (look) looks.push(look)
  }
  return [{ ...exam.watch, melts }, looks]
}

function lookAtProbe(
  station: ExaminedStation,
  exam: Examination,
  frame: Frame,
  i: number,
  companions: Companions,
  hottest: { at: number; value: number },
  melt: Melt,
  ambient: number,
): Look | null {
  const value = shownBy(frame, i)
  // Colder than the room is no place in a pot: that is for the pairs to tell.
  if (hottest.at < 0 || value < ambient - belowRoomC) return null
  const look = (sign: Sign | null): Look => ({ family: 'immersion', instrument: i, sign })
  const share = (value - ambient) / (hottest.value - ambient)
  const low = hottest.value >= hotC && hottest.value - value >= lowByC
  if (low && share < (value >= liquidC ? lowShareLiquid : lowShare)) {
    const hung = exam.watch.suspicions.some((s) => s.told && s.instrument === i && s.kind === 'out-of-wax')
    const sign = lowSign(value, hottest, share, hung ? { ...melt, liquid: true } : melt)
    return sign === undefined ? null : look(sign)
  }
  if (value < hotC) return value >= liquidC - 2 ? look(null) : null
  const course = (j: number): Course => upTo(exam.watch.tracks[j] as Track, frame.index)
  // A wrong type is off in the same way at every heat: that is being found out already.
  const suspectsType = exam.watch.suspicions.some((s) => s.instrument === i && s.kind === 'wrong-type')
  return look(
    wallSign(frame, i, companions, course, suspectsType) ??
      layersSign(station, exam, frame, i, companions, course) ??
      null,
  )
}

/** Undefined: nobody can tell yet whether it is the plug or the air. */
function lowSign(value: number, hottest: { at: number; value: number }, share: number, melt: Melt): Sign | undefined {
  const evidence: Evidence[] = [
    { what: 'below the other by', value: hottest.value - value, unit: '°C', usual: 0 },
    { what: 'share above surroundings', value: share, unit: '', usual: 1 },
  ]
  const hotFor: Evidence = { what: 'the other hot for', value: melt.otherHot, unit: 'min' }
  const inMelt = !melt.liquid && value < liquidC - 4
  // Already as warm as melting wax: no plug any more, and perhaps the other one is too hot.
  if (inMelt && melt.otherHot <= meltMinutes && value > solidC) return undefined
  if (inMelt && melt.fromCold && melt.otherHot <= meltMinutes)
    return {
      kind: 'in-solid',
      against: hottest.at,
      need: solidNeed,
      evidence,
      ruledOut: [{ kind: 'out-of-wax', evidence: hotFor }],
    }
  if (inMelt && melt.otherHot <= unseenMeltMinutes) return undefined
  const ruledOut: Doubt['ruledOut'] = [
    { kind: 'in-solid', evidence: melt.liquid ? { what: 'was liquid before', value: 1, unit: '' } : hotFor },
  ]
  return { kind: 'out-of-wax', against: hottest.at, need: lowNeed, evidence, ruledOut }
}

/** Falls of `a` that `b` does not share, and how far `a` swings above it. */
/** Null where it does not fall by itself often enough to be called swinging. */
function swingsOf(a: Course, b: Course): { falls: number; deviations: number; high: number; low: number } | null {
  const [das, dbs] = changesOf(a, b, overMinutes, swingMinutes)
  let [falls, quietFor] = [0, overMinutes + 3]
  for (let k = 0; k < das.length; k++) {
    const [da, db] = [das[k] as number, dbs[k] as number]
    const alone = da <= fallC && db > sharedFall * da
    if (alone && quietFor > overMinutes + 2) falls++
    quietFor = alone ? 0 : quietFor + 1
  }
  if (falls < fallsMin) return null
  const line = lineThrough(dbs, das)
  const excess = excessOf(a, b, swingMinutes)
  const deviations = line && line.deviationX > 0 ? line.deviationY / line.deviationX : Infinity
  return { falls, deviations, high: quantile(excess, 0.85), low: quantile(excess, 0.1) }
}

function excessOf(a: Course, b: Course, back: number): number[] {
  const excess: number[] = []
  const n = Math.min(a.length, b.length, back)
  for (let k = 1; k <= n; k++) {
    const [x, y] = [a[a.length - k], b[b.length - k]]
    if (x != null && y != null) excess.push(x - y)
  }
  return excess
}

function wallSign(
  frame: Frame,
  i: number,
  { wax, sound: infrared }: Companions,
  course: (j: number) => Course,
  suspectsType: boolean,
): Sign | null {
  const value = shownBy(frame, i)
  const against = wax[0] ?? infrared[0]
  if (against === undefined || suspectsType) return null
  // A cheap look first: whoever has not fallen fast of late cannot swing.
  if (lately(course(i), 30).length < 15) return null
  const swings = swingsOf(course(i), course(against))
  if (
    swings &&
    swings.high - swings.low >= swingC &&
    swings.high >= excessHighC &&
    swings.low >= excessLowC &&
    swings.deviations >= 2
  )
    return {
      kind: 'at-the-wall',
      against,
      need: wallNeed,
      evidence: [
        { what: 'above the other by', value: swings.high, unit: '°C', usual: 0 },
        { what: 'falls not shared', value: swings.falls, unit: '' },
        { what: 'ratio of changes', value: Math.min(99, swings.deviations), unit: '', usual: 1 },
      ],
      ruledOut: [
        {
          kind: 'not-stirred',
          evidence: { what: 'swing of the difference', value: swings.high - swings.low, unit: '°C' },
        },
      ],
    }
  const others = [...wax, ...infrared].map((j) => shownBy(frame, j)).filter((v) => v >= liquidC - 4)
  const next = Math.max(...others)
  const agree = others.length >= 2 && next - Math.min(...others) <= agreeC
  const above = agree ? aboveTwoC : wax.length > 0 ? aboveOneC : Infinity
  if (others.length === 0 || value - next < above || grewInProportion(course(i), course(against), value, next))
    return null
  return {
    kind: 'at-the-wall',
    against,
    need: steadyWallNeed,
    evidence: [{ what: 'above the other by', value: value - next, unit: '°C', usual: 0 }],
    ruledOut: [{ kind: 'not-stirred', evidence: { what: 'others that agree', value: others.length, unit: '' } }],
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
function layersSign(
  station: ExaminedStation,
  exam: Examination,
  frame: Frame,
  i: number,
  { wax }: Companions,
  course: (j: number) => Course,
): Sign | null {
  for (const j of wax) {
    const difference = shownBy(frame, j) - shownBy(frame, i)
    if (difference < layeredAfterStirC || difference > layeredMaxC) continue
    if (station.instruments[i]?.place === station.instruments[j]?.place) continue
    if (exam.watch.suspicions.some((s) => s.instrument === j && s.kind === 'at-the-wall')) continue
    const hot = excessOf(course(j), course(i), 240)
    // While it heats fast, layers are no more than the heat on its way up.
    if (rangeOf(course(j), layeredNeed) > heatingC) continue
    if (quantile(hot.slice(0, layeredNeed), 0.15) < layersSteady * difference) continue
    const least = quantile(hot.map(Math.abs), 0.02)
    const vanished = least <= stirredShare * difference
    if (difference < layeredC && !vanished) continue
    return {
      kind: 'not-stirred',
      against: j,
      need: layeredNeed,
      evidence: [
        { what: 'below the other by', value: difference, unit: '°C', usual: 0 },
        { what: 'least difference lately', value: least, unit: '°C' },
      ],
      ruledOut: [{ kind: 'at-the-wall', evidence: { what: 'below the other by', value: difference, unit: '°C' } }],
    }
  }
  return null
}
