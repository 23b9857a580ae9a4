/** The store on disk: SQLite with its write-ahead log, where a commit has reached the disk before anybody is told. */
import type { EntryOf } from '../../../shared/contract/index.ts'
import { unreadableKeptMax } from '../../../shared/contract/index.ts'
import type { EpochMs } from '../../../shared/time.ts'
import { type Breathe, breathe } from '../clock.ts'
import { StoreClosed } from '../refusal.ts'
import type { NoteKind } from '../sameness.ts'
import type { Columns, Kept, Store } from '../store.ts'
import { Appender } from './append.ts'
import { OpenRows } from './columns.ts'
import { Damage } from './damage.ts'
import { Derived } from './derived.ts'
import { type OpenFile, openFile } from './open.ts'
import { Reader } from './read.ts'
import { readersBeside, readersHere } from './readers.ts'
import { retire } from './retire.ts'
import { SealedReadings } from './sealed-readings.ts'
import { Sealer } from './sealer.ts'
import { SeriesNames } from './series-names.ts'
import { Shelf } from './shelf.ts'
import { SumsMemory } from './sums-memory.ts'

export interface SqliteOptions {
  breathe?: Breathe
  unreadableKeptMax?: number
  /** The built reader-worker. Without it charts are read, and hours prepared for sealing, where they are asked for: for tools and tests. */
  readerScript?: URL
}

/** Rows read at once. Reason: the event loop then stands still for some 10 ms at the most on a small computer. */
const pieceRows = 10_000
/** Rows counted at once: counting is ten times as quick as reading. */
const countRows = 100_000

/** Opens the file, or rejects with a StoreRefusal having changed nothing. */
export async function openSqliteStore(file: string, options: SqliteOptions = {}): Promise<Store> {
  return sqliteStore(openFile(file), options)
}

/** The store over an open file. */
export function sqliteStore({ db, lock }: OpenFile, options: SqliteOptions = {}): Store {
  const pause = options.breathe ?? breathe
  const names = new SeriesNames(db)
  const shelf = new Shelf(db)
  const open = new OpenRows(db)
  const damage = new Damage()
  const reader = new Reader(db, names, shelf, open, damage)
  const sealed = new SealedReadings(shelf, damage)
  const appender = new Appender(db, names, sealed, reader.head(), options.unreadableKeptMax ?? unreadableKeptMax)
  const derived = new Derived(db)
  const readers = options.readerScript ? readersBeside(db.name, options.readerScript) : readersHere(db)
  const summed = new SumsMemory((ask, signal) => readers.ask({ job: 'sums', ask }, signal))
  /** Counts sealings: whoever counts over several turns begins anew when it has moved on. */
  let sealings = 0
  const shelving = {
    db,
    names,
    shelf,
    pause,
    mustBeOpen,
    head: () => appender.head,
    changed: (series: number) => {
      sealings++
      sealed.forget(series)
      reader.forget()
    },
  }
  const prepare = (series: number, hour: EpochMs) => readers.ask({ job: 'prepare', series, hour })
  const sealer = new Sealer({ ...shelving, open, prepare })

  let isOpen = true
  function mustBeOpen(): void {
    if (!isOpen) throw new StoreClosed()
  }

  async function* scan(series: string, from: EpochMs, to: EpochMs): AsyncIterable<Columns> {
    for (let next = from; ; ) {
      mustBeOpen()
      const piece = reader.piece(series, next, to, pieceRows)
      const last = piece?.t.at(-1)
      if (piece === null || last === undefined) return
      yield piece
      next = last + 1
      await pause()
    }
  }

  /** As many as there are at the moment of asking, whatever arrives while we count. */
  async function readingsOf(series: string): Promise<number> {
    mustBeOpen()
    const { head } = appender
    const begun = sealings
    let readings = reader.sealedOf(series)
    for (let after = Number.NEGATIVE_INFINITY; ; ) {
      mustBeOpen()
      if (sealings !== begun) return readingsOf(series)
      const piece = reader.countPiece(series, after, head, countRows)
      if (piece.last === null) return readings
      readings += piece.readings
      after = piece.last
      await pause()
    }
  }

  return {
    append: async (entries) => {
      mustBeOpen()
      const fates = appender.append(entries)
      for (const entry of entries) if (entry.kind === 'reading') summed.note(entry.series, entry.measuredAt)
      return fates
    },
    head: () => appender.head,
    damage: () => damage.first,
    journal: async (after, limit) => {
      mustBeOpen()
      return reader.journal(after, limit)
    },
    newest: async <K extends NoteKind>(kind: K, limit: number, before?: number): Promise<EntryOf<K>[]> => {
      mustBeOpen()
      return reader.newest(kind, limit, before ?? Number.MAX_SAFE_INTEGER)
    },
    count: async (kind) => {
      mustBeOpen()
      return reader.count(kind)
    },
    scan,
    chart: async (ask, signal) => {
      mustBeOpen()
      return readers.ask({ job: 'chart', ask }, signal)
    },
    sums: async (ask, signal) => {
      mustBeOpen()
      return summed.sums(ask, signal)
    },
    seal: async (now, blocksMax) => {
      mustBeOpen()
      return sealer.seal(now, blocksMax)
    },
    retire: async (before) => {
      mustBeOpen()
      try {
        return await retire(shelving, before)
      } finally {
        summed.forget()
      }
    },
    stock: async () => {
      mustBeOpen()
      return readers.ask({ job: 'stock' })
    },
    summaries: async () => {
      mustBeOpen()
      return reader.summaries()
    },
    readingsOf,
    keep: async (kept: Kept) => {
      mustBeOpen()
      derived.keep(kept)
    },
    findings: async (filter) => {
      mustBeOpen()
      return derived.findings(filter)
    },
    snapshot: async () => {
      mustBeOpen()
      return derived.snapshot()
    },
    close: async () => {
      mustBeOpen()
      isOpen = false
      await readers.close()
      db.close()
      lock.release()
    },
  }
}
