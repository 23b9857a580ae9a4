/** A database of years within minutes: one week of each series is made once and laid down again and again with its times moved on, by the very writer that seals. */
import { join } from 'node:path'
import type { BlockColumns } from '../../../gateway/store/sealed/block.ts'
import { encodeBlock } from '../../../gateway/store/sealed/encode.ts'
import { Derived } from '../../../gateway/store/sqlite/derived.ts'
import { openFile } from '../../../gateway/store/sqlite/open.ts'
import { SeriesNames } from '../../../gateway/store/sqlite/series-names.ts'
import { dayOf, spansOf } from '../../../gateway/store/sqlite/shelf.ts'
import { Shelver } from '../../../gateway/store/sqlite/shelver.ts'
import { emptyHouse, freeze, judge, stateShape } from '../../../shared/judge/index.ts'
import { type Course, type Noisy, noisy, usual } from './noisy.ts'

export interface YearsWish {
  series: number
  years: number
  hz: number
  /** The end of the last year; a whole UTC day. Today's beginning where absent. */
  end?: number
  /** Whose series they are; `seriesName` where absent. */
  names?: readonly string[]
  course?: Course
}

export interface Years {
  file: string
  names: string[]
  from: number
  to: number
  readings: number
  blocks: number
  bytes: number
}

const hour = 3_600_000
const day = 24 * hour
/** Days of a year of the bench: leap days do not change what is measured. */
export const yearDays = 365
const tileDays = 7
/** An hour at most, and not more readings than a block may hold. */
const perBlockMax = 4_096

export const seriesName = (nth: number): string => `probe-${nth}.temperature`

/**
 * Every block is encoded and written in full; values, headers, sheets and spans of seq are what sealing would have made of such readings.
 * Only the commit waits for no disk: nothing of this is promised to anybody. With it lies the snapshot that a gateway keeps each minute,
 * here of the newest reading of each series.
 */
export function yearsOf(folder: string, { series, years, hz, end, names: told, course }: YearsWish): Years {
  const nameOf = (nth: number) => told?.[nth] ?? seriesName(nth)
  const file = join(folder, 'cirewatch.db')
  const to = end ?? Math.floor(Date.now() / day) * day
  const from = to - years * yearDays * day
  const { db, lock } = openFile(file)
  db.pragma('synchronous = OFF')
  const names = new SeriesNames(db)
  const shelver = new Shelver(db)
  const ids = Array.from({ length: series }, (_, nth) => names.idOrNew(nameOf(nth)))
  const tiles = ids.map((_, nth) => tileOf(nth, hz))
  const done = { readings: 0, blocks: 0 }
  const newest: (BlockColumns | undefined)[] = []
  const writeDay = db.transaction((begin: number) => {
    const shift = begin - (((begin - from) / day) % tileDays) * day
    const weekNth = Math.floor((begin - from) / day / tileDays)
    tiles.forEach((tile, nth) => {
      const blocks = blocksOfDay(tile, begin - shift).map((columns) => moved(columns, shift, weekNth * tile.seqs))
      const written = blocks.map((columns) => ({ ...encodeBlock(columns), spans: spansOf(columns.seq) }))
      const head = blocks.at(-1)?.seq.at(-1) ?? 0
      newest[nth] = blocks.at(-1)
      shelver.put({ series: ids[nth] as number, day: dayOf(begin), replaced: [], blocks: written }, head)
      for (const { header } of written) done.readings += header.count
      done.blocks += written.length
    })
  })
  for (let begin = from; begin < to; begin += day) writeDay(begin)
  new Derived(db).keep({ snapshot: snapshotOf(newest, nameOf) })
  db.pragma('wal_checkpoint(TRUNCATE)')
  const bytes =
    (db.pragma('page_count', { simple: true }) as number) * (db.pragma('page_size', { simple: true }) as number)
  db.close()
  lock.release()
  return { file, names: ids.map((_, nth) => nameOf(nth)), from, to, ...done, bytes }

  /** A week from the instant 0, with the seqs it has when all series speak in turn. */
  function tileOf(nth: number, perSecond: number): Tile {
    const count = (tileDays * day * perSecond) / 1_000
    const columns = noisy(nth, 0, count, { ...usual, stepMs: 1_000 / perSecond }, course)
    // Half a step into the beat, so that jitter does not reach over the edge of a week.
    const offset = 500 / perSecond
    const whole = (times: Float64Array) => times.map((t) => t + offset)
    const seq = Float64Array.from({ length: count }, (_, i) => i * series + nth + 1)
    return { t: whole(columns.t), v: columns.v, arrivedAt: whole(columns.arrivedAt), seq, seqs: count * series }
  }
}

/** What the judge holds once it has seen the last reading of these. */
function snapshotOf(newest: readonly (BlockColumns | undefined)[], nameOf: (nth: number) => string) {
  let house = emptyHouse()
  newest.forEach((block, nth) => {
    const last = (column: Float64Array | undefined) => column?.at(-1) ?? Number.NaN
    const [measuredAt, value, at, seq] = [last(block?.t), last(block?.v), last(block?.arrivedAt), last(block?.seq)]
    const entry = { kind: 'reading', seq, at, series: nameOf(nth), measuredAt, value, quality: 'good' } as const
    house = judge(house, entry)[0]
  })
  return { seq: house.seq, state: freeze(house), shape: stateShape }
}

interface Tile extends Noisy {
  seq: Float64Array
  /** Seqs of one week of all series. */
  seqs: number
}

function blocksOfDay({ t, v, arrivedAt, seq }: Tile, begin: number): BlockColumns[] {
  const blocks: BlockColumns[] = []
  for (let from = begin; from < begin + day; from += hour) {
    const [first, last] = [placeOf(t, from), placeOf(t, from + hour)]
    const pieces = Math.ceil((last - first) / perBlockMax)
    for (let piece = 0; piece < pieces; piece++) {
      const a = first + Math.floor(((last - first) * piece) / pieces)
      const b = first + Math.floor(((last - first) * (piece + 1)) / pieces)
      blocks.push({
        t: t.subarray(a, b),
        v: v.subarray(a, b),
        arrivedAt: arrivedAt.subarray(a, b),
        seq: seq.subarray(a, b),
        quality: new Uint8Array(b - a),
        reason: new Int8Array(b - a).fill(-1),
        claimedAt: new Float64Array(b - a).fill(Number.NaN),
      })
    }
  }
  return blocks
}

function moved(columns: BlockColumns, shiftMs: number, shiftSeq: number): BlockColumns {
  return {
    ...columns,
    t: columns.t.map((t) => t + shiftMs),
    arrivedAt: columns.arrivedAt.map((t) => t + shiftMs),
    seq: columns.seq.map((n) => n + shiftSeq),
  }
}

/** Index of the first time at or after this instant. */
function placeOf(t: Float64Array, instant: number): number {
  let [low, high] = [0, t.length]
  while (low < high) {
    const middle = (low + high) >> 1
    if ((t[middle] as number) < instant) low = middle + 1
    else high = middle
  }
  return low
}
