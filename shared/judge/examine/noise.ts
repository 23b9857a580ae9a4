/** The noise of one instrument against its own slow past: gone, or many times what it was; and against its twin, where it has no past. */
import type { Evidence, StationKind } from '../../contract/index.ts'
import type { Examination, Noise, Track, Usual } from './exam.ts'
import type { OpenMinute } from './minute.ts'
import { median } from './robust.ts'
import type { ExaminedStation } from './station.ts'
import { isTold, type Look, type Sign } from './suspicion.ts'

/** So many second differences make a block: a mean of them trembles by a fifth. */
const blockOf = 30
/** Blocks that must be known before anything is called unusual. */
const knownMin = 6
/** Of the first ones each is remembered, then every fifth: the memory spans days. */
const memoryMax = 32
const memoryFirst = 16
const thinning = 5
/** Ours, no source. Noise follows stirring, draught and the amplifier's steps: honest blocks stay within three times the median.
 *  A fifth, or four times and twice the loudest ever, is another instrument. */
const vanishedShare = 0.25
const vanishedOfQuietest = 0.5
const explodedTimes = 4
const explodedOfLoudest = 1.8
/** And no more than a rounding: noise below two steps of the readout is a matter of where the value lies between two steps. */
const explodedSteps = 2
/** Nor than what some sound instrument does: mean second difference, twice the deviation of single readings, °C (% for humidity). A
 *  thermocouple in wax trembles by a few tenths, a flame moves a kiln's by a degree or two (common practice, no source). */
const soundNoise: Record<StationKind, number> = {
  pot: 0.6,
  'bench-cup': 0.6,
  kiln: 3.2,
  'dry-room': 0.3,
  surroundings: 0.3,
}
const soundHumidity = 1.2
/** Where its own past is not known: so many times what any sound one does, and so many times what its neighbour does now. */
const beyondSound = 1.9
const beyondNeighbour = 4
const beyondShared = 2.5
const freshMinutes = 60
/** Without a neighbour of its kind: farther still. */
const beyondAlone = 3
/** A step of the readout makes noise of its own: far beyond it only. */
const beyondSteps = 4
/** A readout too coarse for its noise stands still by itself: second differences of so many steps are needed to miss them. */
const fineSteps = 0.8
/** The extremes of the past fade toward the median by this share a block, so that one strange hour does not blind for ever. */
const fading = 0.002
const need = 3

export interface Block {
  rough: number
  repeats: number
}

const nothingKnown: Usual = { blocks: 0, memory: [], quietest: 0, loudest: 0 }
/** Bounds between the states of a station: cold, warm, hot, and where a type K no longer orders, °C. What trembles differs between them. */
const statesC = [45, 300, 650] as const

export const newNoise: Noise = {
  rough: 0,
  roughs: 0,
  repeats: 0,
  readings: 0,
  known: [nothingKnown, nothingKnown, nothingKnown, nothingKnown],
  lately: 0,
}

/** Takes up a minute; the block, when it is full. */
export function withMinute(noise: Noise, minute: OpenMinute): [Noise, Block | null] {
  const rough = noise.rough + minute.rough
  const roughs = noise.roughs + minute.roughs
  const repeats = noise.repeats + minute.repeats
  const readings = noise.readings + minute.count
  if (roughs < blockOf) return [{ ...noise, rough, roughs, repeats, readings }, null]
  const block = { rough: rough / roughs, repeats: repeats / readings }
  return [{ ...noise, rough: 0, roughs: 0, repeats: 0, readings: 0, lately: rounded(block.rough) }, block]
}

function rounded(value: number): number {
  return Number(value.toPrecision(4))
}

function stateOf(valueC: number): number {
  const at = statesC.findIndex((bound) => valueC < bound)
  return at < 0 ? statesC.length : at
}

function remembered(usual: Usual, block: Block): Usual {
  const keeps = usual.memory.length < memoryFirst || usual.blocks % thinning === 0
  const memory = keeps ? [...usual.memory, rounded(block.rough)].slice(-memoryMax) : usual.memory
  const middle = median(memory)
  const low = usual.blocks === 0 ? block.rough : Math.min(usual.quietest, block.rough)
  const high = Math.max(usual.loudest, block.rough)
  return {
    blocks: usual.blocks + 1,
    memory,
    quietest: low + (middle - low) * fading,
    loudest: high + (middle - high) * fading,
  }
}

/** What is usual in this state; where that is not known yet, what was in all others together. */
function usualIn({ known }: Noise, state: number): Usual | null {
  const own = known[state] as Usual
  if (own.memory.length >= knownMin) return own
  const seen = known.filter(({ blocks }) => blocks > 0)
  const memory = seen.flatMap((usual) => usual.memory)
  if (memory.length < 2 * knownMin) return null
  return {
    blocks: memory.length,
    memory,
    quietest: Math.min(...seen.map(({ quietest }) => quietest)),
    loudest: Math.max(...seen.map(({ loudest }) => loudest)),
  }
}

/** One full block: what it says, and the past with it, unless it is itself in doubt. */
export function lookAtNoise(
  station: ExaminedStation,
  exam: Examination,
  slot: number,
  block: Block,
): [Examination, readonly Look[]] {
  const instrument = slot % station.instruments.length
  const track = exam.watch.tracks[slot] as Track
  const newest = track.course[track.course.length - 1]
  if (newest == null || isTold(exam.watch.suspicions, instrument, ['single', 'immersion', 'pair', 'blind']))
    return [exam, []]
  const state = slot < station.instruments.length ? stateOf(newest) : 0
  const sign = signOf(station, exam, slot, block, usualIn(track.noise, state))
  if (sign) return [exam, [{ family: 'noise', instrument, sign }]]
  const known = track.noise.known.with(state, remembered(track.noise.known[state] as Usual, block))
  const tracks = exam.watch.tracks.with(slot, { ...track, noise: { ...track.noise, known } })
  return [
    { ...exam, watch: { ...exam.watch, tracks } },
    sign === undefined ? [] : [{ family: 'noise', instrument, sign }],
  ]
}

/** Undefined: nobody can tell yet. */
function signOf(
  station: ExaminedStation,
  exam: Examination,
  slot: number,
  block: Block,
  usual: Usual | null,
): Sign | null | undefined {
  const { step } = exam.watch.tracks[slot] as Track
  const sound = slot < station.instruments.length ? soundNoise[station.kind] : soundHumidity
  const beyond = beyondSign(station, exam, slot, block, sound, step)
  if (usual === null) return beyond ?? undefined
  const middle = median(usual.memory)
  const evidence = evidenceOf(block, middle)
  const moves = { what: 'share of repeats', value: block.repeats, unit: '' }
  const quiet = block.rough <= vanishedShare * middle && block.rough <= vanishedOfQuietest * usual.quietest
  if (quiet && middle >= fineSteps * step && block.repeats < 0.98)
    return { kind: 'noise-vanished', need, evidence, ruledOut: [{ kind: 'stuck', evidence: moves }] }
  const loud = Math.max(explodedTimes * middle, explodedOfLoudest * usual.loudest, explodedSteps * step, sound)
  if (block.rough < loud || sharedWith(station, exam, slot, block)) return beyond
  return { kind: 'noise-exploded', need, evidence, ruledOut: [{ kind: 'open-circuit', evidence: moves }] }
}

function evidenceOf(block: Block, usual: number): readonly Evidence[] {
  return [
    { what: 'noise ratio', value: usual > 0 ? block.rough / usual : 0, unit: '', usual: 1 },
    { what: 'noise', value: block.rough, unit: '°C', usual },
  ]
}

/** The loudest of its kind beside it, of late. */
function loudestBeside(station: ExaminedStation, exam: Examination, slot: number): { j: number; noise: number } | null {
  const n = station.instruments.length
  const base = slot < n ? 0 : n
  const mine = station.instruments[slot - base]
  const isPot = station.kind === 'pot' || station.kind === 'bench-cup'
  let loudest: { j: number; noise: number } | null = null
  station.instruments.forEach(({ kind, place }, j) => {
    if (j === slot - base || kind !== mine?.kind || (!isPot && place !== mine.place)) return
    const { end, noise } = exam.watch.tracks[base + j] as Track
    const fresh = end >= (exam.watch.tracks[slot] as Track).end - freshMinutes && noise.lately > 0
    if (fresh && (loudest === null || noise.lately > loudest.noise)) loudest = { j, noise: noise.lately }
  })
  return loudest
}

/** A flame, a draught or a stirrer moves both. */
function sharedWith(station: ExaminedStation, exam: Examination, slot: number, block: Block): boolean {
  const beside = loudestBeside(station, exam, slot)
  return beside !== null && block.rough < beyondShared * beside.noise
}

/** Louder than any sound one, and than its neighbour at the same time: a flame, a draught or a stirrer would move both. */
function beyondSign(
  station: ExaminedStation,
  exam: Examination,
  slot: number,
  block: Block,
  sound: number,
  step: number,
): Sign | null {
  if (block.rough < Math.max(beyondSound * sound, beyondSteps * step)) return null
  const beside = loudestBeside(station, exam, slot)
  if (block.rough < (beside === null ? beyondAlone * sound : beyondNeighbour * beside.noise)) return null
  const moves = { what: 'share of repeats', value: block.repeats, unit: '' }
  return {
    kind: 'noise-exploded',
    ...(beside === null ? {} : { against: beside.j }),
    need,
    evidence: evidenceOf(block, Math.max(beside?.noise ?? sound, step)),
    ruledOut: [{ kind: 'open-circuit', evidence: moves }],
  }
}
