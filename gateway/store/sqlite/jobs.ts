/** What a reader of the database can be asked for, and the one who answers: in a worker of its own, or where it was asked. */
import type { Database } from 'better-sqlite3'
import { m4 } from '../../../shared/series/decimate.ts'
import { type Sums, sums } from '../../../shared/series/sums.ts'
import { throughMeaning } from '../../../shared/series/through.ts'
import { dayMs, type EpochMs } from '../../../shared/time.ts'
import type { ChartAsk, ChartColumns, Stock, SumsAsk } from '../store.ts'
import { Preparer, type Prepared } from './prepare.ts'
import { Shelf } from './shelf.ts'
import { Walker } from './walk.ts'

export type Job =
  | { job: 'chart'; ask: ChartAsk }
  | { job: 'sums'; ask: SumsAsk }
  | { job: 'stock' }
  | { job: 'prepare'; series: number; hour: EpochMs }

export type Answer<J extends Job> = J extends { job: 'chart' }
  ? ChartColumns
  : J extends { job: 'sums' }
    ? Sums[]
    : J extends { job: 'stock' }
      ? Stock
      : Prepared | null

/** Thrown out of a walk that nobody waits for any more. */
export class GivenUp extends Error {
  override readonly name = 'GivenUp'
}

/** Enough that the engine takes the drawing for something that is worth its best. */
const warmDays = 370
const warmColumns = [500, 700, 900]
/** So long that hardly any block has a hole and must be taken apart. */
const warmSilenceMs = 600_000

export class Answerer {
  readonly #idOf
  readonly #anySeries
  readonly #counts
  readonly #shelf: Shelf
  readonly #walker: Walker
  readonly #preparer: Preparer
  readonly #atOneMoment

  constructor(db: Database) {
    this.#idOf = db.prepare<[string], number>('SELECT id FROM series WHERE name = ?').pluck()
    this.#anySeries = db.prepare<[], string>('SELECT name FROM series ORDER BY id LIMIT 1').pluck()
    this.#counts = db
      .prepare('SELECT (SELECT count(*) FROM reading), page_count * page_size FROM pragma_page_count, pragma_page_size')
      .raw()
    this.#shelf = new Shelf(db)
    this.#walker = new Walker(db)
    this.#preparer = new Preparer(db)
    this.#atOneMoment = db.transaction((work: () => unknown) => work())
  }

  /** Draws something for nobody: what was drawn once is drawn ten times as fast, and the first who asks should not be the one who waits. */
  warm(): void {
    const series = this.#anySeries.get()
    const id = series === undefined ? undefined : this.#idOf.get(series)
    const [oldest, newest] = id === undefined ? [null, null] : [this.#shelf.oldestOf(id), this.#shelf.newestOf(id)]
    if (series === undefined || oldest === null || newest === null) return
    const to = newest.to + 1
    const ask = { series, from: Math.max(oldest.from, to - warmDays * dayMs), to, silenceMs: warmSilenceMs }
    // A year is drawn from headers, a day from within its blocks.
    for (const from of [ask.from, Math.max(oldest.from, to - dayMs)])
      for (const columns of warmColumns) this.answer({ job: 'chart', ask: { ...ask, from, columns } }, () => false)
  }

  /** Throws GivenUp soon after `isGivenUp` says so. */
  answer<J extends Job>(job: J, isGivenUp: () => boolean): Answer<J> {
    const breathe = () => {
      if (isGivenUp()) throw new GivenUp()
    }
    breathe()
    return this.#answer(job, breathe) as Answer<J>
  }

  #answer(job: Job, breathe: () => void): Answer<Job> {
    switch (job.job) {
      case 'chart':
        return this.#atOneMoment(() => this.#chart(job.ask, breathe)) as ChartColumns
      case 'sums':
        return this.#atOneMoment(() => this.#sums(job.ask, breathe)) as Sums[]
      case 'stock':
        return this.#atOneMoment(() => this.#stock()) as Stock
      case 'prepare':
        return this.#preparer.prepare(job.series, job.hour)
    }
  }

  #stock(): Stock {
    const { blocks, readings, bytes } = this.#shelf.tally()
    const [openReadings, fileBytes] = this.#counts.get() as [number, number]
    return { openReadings, sealedReadings: readings, blocks, sealedBytes: bytes, bytes: fileBytes }
  }

  #chart({ series, from, to, columns, silenceMs, interpretation }: ChartAsk, breathe: () => void): ChartColumns {
    const fold = m4(from, to, columns, silenceMs)
    const id = this.#idOf.get(series)
    const takes = throughMeaning(fold, interpretation, 'drawn')
    if (id !== undefined) this.#walker.walk({ series: id, from, to, marginMs: silenceMs }, takes, breathe)
    return fold.finishColumns()
  }

  #sums({ series, edges, silenceMs, band, interpretation }: SumsAsk, breathe: () => void): Sums[] {
    const fold = sums(edges, silenceMs, band && { band })
    const id = this.#idOf.get(series)
    const [from, to] = [edges[0], edges.at(-1)]
    if (id === undefined || from === undefined || to === undefined) return fold.finish()
    const takes = throughMeaning(fold, interpretation, 'summed')
    this.#walker.walk({ series: id, from, to, marginMs: silenceMs }, takes, breathe)
    return fold.finish()
  }
}
