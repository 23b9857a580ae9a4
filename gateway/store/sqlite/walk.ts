/** Walks a series through a span, handing a fold what it needs and no more: a header where that will do, part of a block, or readings. */
import type { Database } from 'better-sqlite3'
import type { SeriesPiece, Strand, Stretch } from '../../../shared/series/columns.ts'
import type { EpochMs } from '../../../shared/time.ts'
import { type Course, openCourse } from '../sealed/course.ts'
import type { Sheet } from '../sealed/sheet.ts'
import { CourseCache } from './course-cache.ts'
import { type CourseColumns, OpenRows, placeOf } from './columns.ts'
import { dayOf, Shelf, sheetsAtOnce } from './shelf.ts'

/** A drawing or a sum that takes readings in order of time, in whichever of three forms is cheapest for it. */
export interface Fold {
  /** False where a header does not say enough. What is handed over is used again for the next one. */
  addStretch(stretch: Stretch): boolean
  addStrand(strand: Strand): boolean
  add(piece: SeriesPiece): void
}

/** Where the walk begins and ends (the fold may want its neighbours), and the span itself. */
export interface Span {
  series: number
  from: EpochMs
  to: EpochMs
  /** How far beyond the span the fold still wants a neighbour. */
  marginMs: number
}

const rowsAtOnce = 10_000

export class Walker {
  readonly #shelf: Shelf
  readonly #courses: CourseCache
  readonly #open: OpenRows
  readonly #stretch = new HeaderStretch()

  constructor(db: Database) {
    this.#shelf = new Shelf(db)
    this.#courses = new CourseCache(this.#shelf)
    this.#open = new OpenRows(db)
  }

  /** `breathe` is called between steps and may throw to end the walk. */
  walk({ series, from, to, marginMs }: Span, fold: Fold, breathe: () => void): void {
    const [begin, end] = [from - marginMs, to + marginMs]
    const rows = new RowCursor(this.#open, series, begin, end)
    for (let day = dayOf(begin); ; ) {
      const sheets = this.#shelf.sheets(series, day, dayOf(end), sheetsAtOnce)
      for (const { sheet } of sheets)
        for (let i = Math.max(0, sheet.placeOf(begin)); i < sheet.length && sheet.from(i) < end; i++) {
          if (sheet.to(i) < begin) continue
          breathe()
          for (let piece = rows.before(sheet.from(i)); piece !== null; piece = rows.before(sheet.from(i)))
            fold.add(piece)
          if (rows.nextAt <= sheet.to(i)) fold.add(trimmed(this.#joined(sheet, i, rows), begin, end))
          else if (!this.#giveWhole(sheet, i, from, to, fold)) fold.add(trimmed(this.#piece(sheet, i), begin, end))
        }
      const last = sheets.at(-1)
      if (last === undefined || sheets.length < sheetsAtOnce) break
      day = last.day + 1
    }
    for (let piece = rows.before(end); piece !== null; piece = rows.before(end)) {
      fold.add(piece)
      breathe()
    }
  }

  /** True where the fold could take a block without looking at each of its readings. */
  #giveWhole(sheet: Sheet, i: number, from: EpochMs, to: EpochMs, fold: Fold): boolean {
    if (sheet.bad(i) > 0) return false
    // Of a block beyond the span only the reading next to it counts.
    if (sheet.to(i) < from) fold.add(onePoint(sheet.lastT(i), sheet.lastV(i)))
    else if (sheet.from(i) >= to) fold.add(onePoint(sheet.firstT(i), sheet.firstV(i)))
    else if (!fold.addStretch(this.#stretch.of(sheet, i)))
      return fold.addStrand(new Ranged(this.#bytes(sheet, i), sheet, i))
    return true
  }

  #bytes(sheet: Sheet, i: number): Uint8Array {
    return this.#courses.course(sheet.id(i), sheet.courseCrc(i))
  }

  #piece(sheet: Sheet, i: number): CourseColumns {
    const course = openCourse(this.#bytes(sheet, i), sheet.longestGapMs(i))
    return { t: course.times(), v: course.values(), quality: course.qualities() }
  }

  /** A block with the late readings that lie within it. */
  #joined(sheet: Sheet, i: number, rows: RowCursor): CourseColumns {
    const sealed = this.#piece(sheet, i)
    const [t, v, quality] = [[...sealed.t], [...sealed.v], [...sealed.quality]]
    for (let late = rows.before(sheet.to(i)); late !== null; late = rows.before(sheet.to(i)))
      for (let j = 0; j < late.t.length; j++) {
        const place = placeOf(t, late.t[j] as number)
        t.splice(place, 0, late.t[j] as number)
        v.splice(place, 0, late.v[j] as number)
        quality.splice(place, 0, late.quality[j] as number)
      }
    return { t: Float64Array.from(t), v: Float64Array.from(v), quality: Uint8Array.from(quality) }
  }
}

/** A block as a strand. Its ends and its range are told by its header, so that only the chunks in which a column ends are unpacked. */
class Ranged implements Strand {
  readonly length: number
  readonly longestGapMs: number
  readonly range: { low: number; high: number }
  readonly #course: Course
  readonly #sheet: Sheet
  readonly #header: number

  constructor(bytes: Uint8Array, sheet: Sheet, i: number) {
    this.longestGapMs = sheet.longestGapMs(i)
    this.#course = openCourse(bytes, this.longestGapMs)
    this.length = this.#course.length
    this.range = { low: sheet.lowV(i), high: sheet.highV(i) }
    this.#sheet = sheet
    this.#header = i
  }

  t(index: number): EpochMs {
    if (index === 0) return this.#sheet.firstT(this.#header)
    return index === this.length - 1 ? this.#sheet.lastT(this.#header) : this.#course.t(index)
  }
  v(index: number): number {
    if (index === 0) return this.#sheet.firstV(this.#header)
    return index === this.length - 1 ? this.#sheet.lastV(this.#header) : this.#course.v(index)
  }
  placeOf(t: EpochMs): number {
    return this.#course.placeOf(t)
  }
  lowest(from: number, to: number): number {
    return this.#course.lowest(from, to)
  }
  highest(from: number, to: number): number {
    return this.#course.highest(from, to)
  }
}

/** The open rows of a series, taken page by page. */
class RowCursor {
  readonly #open: OpenRows
  readonly #series: number
  readonly #end: EpochMs
  #page: CourseColumns | null
  #next = 0

  constructor(open: OpenRows, series: number, begin: EpochMs, end: EpochMs) {
    this.#open = open
    this.#series = series
    this.#end = end
    this.#page = open.course(series, begin, end, rowsAtOnce)
  }

  /** Instant of the next row; Infinity after the last. */
  get nextAt(): EpochMs {
    return this.#page?.t[this.#next] ?? Number.POSITIVE_INFINITY
  }

  /** The next rows before this instant, at most a page; null where there are none. */
  before(t: EpochMs): SeriesPiece | null {
    const page = this.#page
    if (page === null || this.nextAt >= t) return null
    const from = this.#next
    const to = placeOf(page.t, t)
    this.#next = to
    if (to === page.t.length) {
      const last = page.t[to - 1] as number
      this.#page = this.#open.course(this.#series, last + 1, this.#end, rowsAtOnce)
      this.#next = 0
    }
    return part(page, from, to)
  }
}

function part({ t, v, quality }: CourseColumns, from: number, to: number): CourseColumns {
  return { t: t.subarray(from, to), v: v.subarray(from, to), quality: quality.subarray(from, to) }
}

function trimmed(course: CourseColumns, begin: EpochMs, end: EpochMs): CourseColumns {
  return part(course, placeOf(course.t, begin), placeOf(course.t, end))
}

function onePoint(t: EpochMs, v: number): SeriesPiece {
  return { t: [t], v: [v], quality: [0] }
}

/** What a header says, laid out in one object for all of them: a year has thousands, and nobody keeps one. */
class HeaderStretch implements Stretch {
  readonly first = { t: 0, v: 0 }
  readonly lowest = { t: 0, v: 0 }
  readonly highest = { t: 0, v: 0 }
  readonly last = { t: 0, v: 0 }
  readings = 0
  longestGapMs = 0
  integral = 0

  of(sheet: Sheet, i: number): Stretch {
    const { first, lowest, highest, last } = this
    this.readings = sheet.count(i)
    this.longestGapMs = sheet.longestGapMs(i)
    this.integral = sheet.integral(i)
    first.t = sheet.firstT(i)
    first.v = sheet.firstV(i)
    lowest.t = sheet.lowT(i)
    lowest.v = sheet.lowV(i)
    highest.t = sheet.highT(i)
    highest.v = sheet.highV(i)
    last.t = sheet.lastT(i)
    last.v = sheet.lastV(i)
    return this
  }
}
