/** The second half of sealing: which hours are finished, and the one transaction that puts blocks in the place of rows. */
import type { Database } from 'better-sqlite3'
import { sealAfterMs } from '../../../shared/contract/index.ts'
import { type EpochMs, hourMs } from '../../../shared/time.ts'
import type { Breathe } from '../clock.ts'
import type { Sealed } from '../store.ts'
import type { OpenRows } from './columns.ts'
import type { Prepared } from './prepare.ts'
import type { SeriesNames } from './series-names.ts'
import { Shelver } from './shelver.ts'
import { Sweeper } from './sweep.ts'

export interface SealerParts {
  db: Database
  names: SeriesNames
  open: OpenRows
  prepare: (series: number, hour: EpochMs) => Promise<Prepared | null>
  /** The greatest seq given so far. */
  head: () => number
  /** What was remembered of the blocks of a series may no longer be so. */
  changed: (series: number) => void
  pause: Breathe
  /** Throws once the store is closed. */
  mustBeOpen: () => void
}

/** Series looked at before the event loop may breathe. */
const seriesBetweenBreaths = 500

export class Sealer {
  readonly #parts: SealerParts
  readonly #sweeper: Sweeper
  readonly #shelver: Shelver
  readonly #takeRows
  readonly #commit
  #cursor = 0

  constructor(parts: SealerParts) {
    this.#parts = parts
    this.#sweeper = new Sweeper(parts.db)
    this.#shelver = new Shelver(parts.db)
    this.#takeRows = parts.db.prepare<[number, number, number, number]>(
      'DELETE FROM reading WHERE series = ? AND measured_at BETWEEN ? AND ? AND seq <= ?',
    )
    this.#commit = parts.db.transaction((step: Prepared) => this.#write(step)).immediate
  }

  async seal(now: EpochMs, blocksMax: number): Promise<Sealed> {
    const done = { blocks: 0, readings: 0 }
    for (let idle = 0, looked = 0; done.blocks < blocksMax && idle < this.#parts.names.count; ) {
      const series = this.#parts.names.idAfter(this.#cursor)
      const hour = series === null ? null : this.#dueHour(series, now)
      if (series === null || hour === null) {
        this.#cursor = series ?? 0
        if (series !== null) idle++
        if (++looked % seriesBetweenBreaths === 0) await this.#breath()
        continue
      }
      idle = 0
      const step = await this.#prepare(series, hour)
      this.#parts.mustBeOpen()
      // Between reading and writing something may have come between; then the next call finds it as it is by then.
      if (step === null || !this.#seal(step)) break
      done.blocks += step.blocks.length
      done.readings += step.rows.count
      do await this.#breath()
      while (this.#sweeper.sweep())
      await this.#breath()
    }
    return done
  }

  /** What cannot be joined with its block, because that is damaged, must not hold up all the others. */
  async #prepare(series: number, hour: EpochMs): Promise<Prepared | null> {
    try {
      return await this.#parts.prepare(series, hour)
    } catch (error) {
      this.#cursor = series
      throw error
    }
  }

  async #breath(): Promise<void> {
    await this.#parts.pause()
    this.#parts.mustBeOpen()
  }

  #seal(step: Prepared): boolean {
    try {
      this.#commit(step)
      this.#parts.changed(step.series)
      return true
    } catch (error) {
      if (error instanceof Overtaken) return false
      throw error
    }
  }

  /** The first hour of a series that has rows and is finished; or lies so far ahead that its clock was wrong. */
  #dueHour(series: number, now: EpochMs): EpochMs | null {
    const thisHour = hourOf(now)
    const openFrom = now - thisHour < sealAfterMs ? thisHour - hourMs : thisHour
    const first = this.#parts.open.firstFrom(series, Number.NEGATIVE_INFINITY)
    if (first !== null && first < openFrom) return hourOf(first)
    const ahead = this.#parts.open.firstFrom(series, thisHour + 2 * hourMs)
    return ahead === null ? null : hourOf(ahead)
  }

  #write(step: Prepared): void {
    const { series, rows } = step
    const gone = this.#takeRows.run(series, rows.from, rows.to, rows.newestSeq).changes
    if (gone !== rows.count || !this.#shelver.put(step, this.#parts.head())) throw new Overtaken()
  }
}

/** Rows or blocks are not as they were when they were read. */
class Overtaken extends Error {
  override readonly name = 'Overtaken'
}

function hourOf(t: EpochMs): EpochMs {
  return Math.floor(t / hourMs) * hourMs
}
