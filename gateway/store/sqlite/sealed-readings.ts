/** Looks a single instant up in the blocks, for what comes again or too late: does a sealed reading stand there already? */
// In a block that is damaged nothing is found: better that a reading is kept twice than that the gateway cannot take in any more.
import type { EpochMs } from '../../../shared/time.ts'
import { type Course, openCourse } from '../sealed/course.ts'
import { decodeBlock } from '../sealed/decode.ts'
import type { Sheet } from '../sealed/sheet.ts'
import type { Damage } from './damage.ts'
import { dayOf, type Shelf } from './shelf.ts'

/** Sheets and courses kept at hand. Reason: a device that sends a day again walks through one block after another. */
const keptMax = 64

export class SealedReadings {
  readonly #shelf: Shelf
  readonly #damage: Damage
  /** The newest sealed instant of each series: what is newer, as nearly everything is, need not be looked for. */
  readonly #newest: number[] = []
  readonly #sheets = new Map<string, Sheet | null>()
  readonly #courses = new Map<number, Course>()

  /** `damage` is told what cannot be read. */
  constructor(shelf: Shelf, damage: Damage) {
    this.#shelf = shelf
    this.#damage = damage
  }

  /** The value that stands at this instant; undefined where nothing does. */
  valueAt(series: number, t: EpochMs): number | undefined {
    return this.#damage.or(undefined, () => {
      const place = this.#placeOf(series, t)
      return place?.course.v(place.index)
    })
  }

  /** True where a reading stands at this instant whose own time was believed. */
  isBelieved(series: number, t: EpochMs): boolean {
    return this.#damage.or(false, () => {
      const place = this.#placeOf(series, t)
      if (place === null) return false
      const { course, arrival } = this.#shelf.block(place.block)
      return Number.isNaN(decodeBlock(course, arrival).claimedAt[place.index])
    })
  }

  /** After a sealing: what was remembered of this series may no longer be so. */
  forget(series: number): void {
    delete this.#newest[series]
    this.#sheets.clear()
    // The row of a block that is gone may be another's by now.
    this.#courses.clear()
  }

  #placeOf(series: number, t: EpochMs): { block: number; course: Course; index: number } | null {
    if (t > (this.#newest[series] ?? this.#lookNewest(series))) return null
    const sheet = this.#sheet(series, dayOf(t))
    const place = sheet?.placeOf(t) ?? -1
    if (sheet === null || place < 0 || t > sheet.to(place)) return null
    const block = sheet.id(place)
    const course = kept(this.#courses, block, () => openCourse(this.#shelf.course(block)))
    const index = course.placeOf(t)
    return index < course.length && course.t(index) === t ? { block, course, index } : null
  }

  #sheet(series: number, day: number): Sheet | null {
    return kept(this.#sheets, `${series} ${day}`, () => this.#shelf.sheet(series, day))
  }

  #lookNewest(series: number): number {
    const newest = this.#shelf.newestOf(series)?.to ?? Number.NEGATIVE_INFINITY
    this.#newest[series] = newest
    return newest
  }
}

/** From the map, or made and put into it; the oldest goes. */
function kept<K, V>(map: Map<K, V>, key: K, make: () => V): V {
  const known = map.get(key)
  if (known !== undefined) return known
  const made = make()
  if (map.size >= keptMax) map.delete(map.keys().next().value as K)
  map.set(key, made)
  return made
}
