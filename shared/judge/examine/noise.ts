/** The noise of one instrument against its own slow past: gone, or many times what it was. */
import type { Examination, Noise, Usual } from './exam.ts'
import type { OpenMinute } from './minute.ts'
import { median } from './robust.ts'
import type { ExaminedStation } from './station.ts'
import { isTold, type Look } from './suspicion.ts'

/** So many second differences make a block: a mean of fewer trembles by itself. */
const blockOf = 60
/** Blocks that must be known before anything is called unusual: an hour of a pot, six of a slow room. */
const knownMin = 12
/** Of the first ones each is remembered, then every fifth: the memory spans days. */
const memoryMax = 32
const thinning = 5
/** Ours, no source. Noise follows stirring, draught and the amplifier's steps: honest blocks stay within three times the median.
 *  A tenth, or six times and twice the loudest ever, is another instrument. */
const vanishedShare = 0.2
const vanishedOfQuietest = 0.5
const explodedTimes = 4
const explodedOfLoudest = 2
/** And no more than a rounding: noise below two steps of the readout is a matter of where the value lies between two steps. */
const explodedSteps = 2
/** The extremes of the past fade toward the median by this share a block, so that one strange hour does not blind for ever. */
/** A readout too coarse for its noise stands still by itself: second differences of so many steps are needed to miss them. */
const fineSteps = 0.8
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
}

/** Takes up a minute; the block, when it is full. */
export function withMinute(noise: Noise, minute: OpenMinute): [Noise, Block | null] {
  const rough = noise.rough + minute.rough
  const roughs = noise.roughs + minute.roughs
  const repeats = noise.repeats + minute.repeats
  const readings = noise.readings + minute.count
  if (roughs < blockOf) return [{ rough, roughs, repeats, readings, known: noise.known }, null]
  const block = { rough: rough / roughs, repeats: repeats / readings }
  return [{ rough: 0, roughs: 0, repeats: 0, readings: 0, known: noise.known }, block]
}

function stateOf(valueC: number): number {
  const at = statesC.findIndex((bound) => valueC < bound)
  return at < 0 ? statesC.length : at
}

function remembered(usual: Usual, block: Block): Usual {
  const keeps = usual.memory.length < knownMin || usual.blocks % thinning === 0
  const memory = keeps ? [...usual.memory, Number(block.rough.toPrecision(4))].slice(-memoryMax) : usual.memory
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

/** One full block: what it says, and the past with it, unless it is itself in doubt. */
export function lookAtNoise(
  station: ExaminedStation,
  exam: Examination,
  slot: number,
  block: Block,
): [Examination, readonly Look[]] {
  const instrument = slot % station.instruments.length
  const track = exam.watch.tracks[slot] as Examination['watch']['tracks'][number]
  const newest = track.course[track.course.length - 1]
  if (newest == null || isTold(exam.watch.suspicions, instrument, ['single', 'immersion', 'pair'])) return [exam, []]
  const state = slot < station.instruments.length ? stateOf(newest) : 0
  const usual = track.noise.known[state] as Usual
  const look = looked(usual, block, instrument, track.step)
  if (look?.sign) return [exam, [look]]
  const known = track.noise.known.with(state, remembered(usual, block))
  const tracks = exam.watch.tracks.with(slot, { ...track, noise: { ...track.noise, known } })
  return [{ ...exam, watch: { ...exam.watch, tracks } }, look === null ? [] : [look]]
}

function looked(usual: Usual, block: Block, instrument: number, step: number): Look | null {
  if (usual.memory.length < knownMin) return null
  const middle = median(usual.memory)
  const evidence = [
    { what: 'noise ratio', value: middle > 0 ? block.rough / middle : 0, unit: '', usual: 1 },
    { what: 'noise', value: block.rough, unit: '°C', usual: middle },
  ]
  const moves = { what: 'share of repeats', value: block.repeats, unit: '' }
  const fine = middle >= fineSteps * step
  if (
    fine &&
    block.rough <= vanishedShare * middle &&
    block.rough <= vanishedOfQuietest * usual.quietest &&
    block.repeats < 0.98
  ) {
    const ruledOut = [{ kind: 'stuck', evidence: moves }] as const
    return { family: 'noise', instrument, sign: { kind: 'noise-vanished', need, evidence, ruledOut } }
  }
  const loud = Math.max(explodedTimes * middle, explodedOfLoudest * usual.loudest, explodedSteps * step)
  if (block.rough >= loud && block.rough > 0) {
    const ruledOut = [{ kind: 'open-circuit', evidence: moves }] as const
    return { family: 'noise', instrument, sign: { kind: 'noise-exploded', need, evidence, ruledOut } }
  }
  return { family: 'noise', instrument, sign: null }
}
