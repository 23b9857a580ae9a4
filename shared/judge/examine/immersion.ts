/** Probes in the wax: at the wall, out of the wax, in the solid, or right and yet apart because nobody stirred. */
import type { Doubt, Evidence } from '../../contract/index.ts'
import { type Course, lately, upTo } from './course.ts'
import { type Companions, layersSign, wallSign } from './depth.ts'
import type { Examination, Melt, Track, Watch } from './exam.ts'
import { type Frame, ambientOf, depthOf } from './roles.ts'
import type { ExaminedInstrument, ExaminedStation } from './station.ts'
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
const solidNeed = 5
const belowRoomC = 8
/** A plug is through after this long over hot wax; what still reads low then hangs in the air. Minutes. */
const meltMinutes = 180
/** Where nobody saw the pot cold, this long must pass before it is called air. */
const unseenMeltMinutes = 90

/** In a plug nothing falls: what falls so far, so often, within the last half hour hangs in moving air. */
const airFallC = 1.5
const airFallSteps = 2.5
const airFallsMin = 3
const airMinutes = 30
/** A melting pot is hot below while the plug above is solid still, °C. */
const meltingC = 64
const plugByC = 14
const plugMaxC = 55

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
    if (hottest.at < 0) continue
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
  const course = (j: number): Course => upTo(exam.watch.tracks[j] as Track, frame.index)
  const falls = fallsOf(exam.watch.tracks[i] as Track, course(i))
  if (inPlug(value, hottest.value, melt) && falls === 0 && !isBelow(station, i, hottest.at))
    return look(plugSign(value, hottest, share, melt))
  const low = hottest.value >= hotC && hottest.value - value >= lowByC
  if (low && share < (value >= liquidC ? lowShareLiquid : lowShare)) {
    const hung = exam.watch.suspicions.some((s) => s.told && s.instrument === i && s.kind === 'out-of-wax')
    const inAir = hung || falls >= airFallsMin
    if (isBelow(station, i, hottest.at) && melt.fromCold && !melt.liquid && melt.otherHot <= meltMinutes) return null
    const sign = lowSign(value, hottest, share, inAir ? { ...melt, liquid: true } : melt)
    return sign === undefined ? null : look(sign)
  }
  if (value < hotC) return value >= liquidC - 2 ? look(null) : null
  // A wrong type is off in the same way at every heat: that is being found out already.
  const suspectsType = exam.watch.suspicions.some((s) => s.instrument === i && s.kind === 'wrong-type')
  return look(
    (suspectsType ? null : wallSign(station, frame, i, companions, course)) ??
      layersSign(station, exam, frame, i, companions, course),
  )
}

/** A plug lies above the heat, not below it. */
function isBelow(station: ExaminedStation, i: number, j: number): boolean {
  const [own, other] = [station.instruments[i] as ExaminedInstrument, station.instruments[j] as ExaminedInstrument]
  return other.kind !== 'infrared' && depthOf(own) > depthOf(other)
}

/** Solid while the wax below is hot, after the pot was cold. */
function inPlug(value: number, hottest: number, melt: Melt): boolean {
  return (
    melt.fromCold &&
    !melt.liquid &&
    melt.otherHot <= meltMinutes &&
    hottest >= meltingC &&
    value <= plugMaxC &&
    hottest - value >= plugByC
  )
}

/** Times it fell by itself in the last half hour. */
function fallsOf({ step }: Track, course: Course): number {
  const least = Math.max(airFallC, airFallSteps * step)
  const recent = lately(course, airMinutes)
  let falls = 0
  for (let k = 2; k < recent.length; k++)
    if ((recent[k - 2] as number) - (recent[k] as number) >= least) {
      falls++
      k++
    }
  return falls
}

function plugSign(value: number, hottest: { at: number; value: number }, share: number, melt: Melt): Sign {
  return {
    kind: 'in-solid',
    against: hottest.at,
    need: solidNeed,
    evidence: [
      { what: 'below the other by', value: hottest.value - value, unit: '°C', usual: 0 },
      { what: 'share above surroundings', value: share, unit: '', usual: 1 },
    ],
    ruledOut: [{ kind: 'out-of-wax', evidence: { what: 'the other hot for', value: melt.otherHot, unit: 'min' } }],
  }
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
  if (inMelt && melt.fromCold && melt.otherHot <= meltMinutes) return plugSign(value, hottest, share, melt)
  if (inMelt && melt.otherHot <= unseenMeltMinutes) return undefined
  const ruledOut: Doubt['ruledOut'] = [
    { kind: 'in-solid', evidence: melt.liquid ? { what: 'was liquid before', value: 1, unit: '' } : hotFor },
  ]
  return { kind: 'out-of-wax', against: hottest.at, need: lowNeed, evidence, ruledOut }
}
