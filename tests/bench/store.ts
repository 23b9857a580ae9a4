/** How much our store adds to what SQLite itself needs to keep the same readings as safely: append against a bare insert. */
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import type { NewEntry } from '../../shared/contract/index.ts'
import { disks } from './kit/disks.ts'
import { race } from './kit/race.ts'

const seriesCount = 64
const batchRows = 1_000
const batchesPerRound = 60

for (const disk of disks()) {
  const store = await openSqliteStore(join(disk.folder(), 'ours.sqlite'))
  const bare = bareInsert(join(disk.folder(), 'bare.sqlite'))
  await race({
    title: `Append ${batchRows} readings at a time, ${seriesCount} series, synchronous=FULL, on ${disk.name}`,
    things: 'readings',
    ours: {
      name: 'store.append',
      async run(round) {
        for (let batch = 0; batch < batchesPerRound; batch++) {
          const fates = await store.append(entriesOf(round * batchesPerRound + batch))
          if (fates.some((fate) => fate.is !== 'stored')) throw new Error('A reading of the bench was not stored.')
        }
        return batchRows * batchesPerRound
      },
    },
    reference: {
      name: 'better-sqlite3, one insert a reading',
      run(round) {
        for (let batch = 0; batch < batchesPerRound; batch++) bare.insert(entriesOf(round * batchesPerRound + batch))
        return batchRows * batchesPerRound
      },
    },
  })
  await store.close()
  bare.close()
  disk.clear()
}

/** Both lanes make the same entries by themselves, so that making them weighs alike. */
function entriesOf(batch: number): NewEntry[] {
  return Array.from({ length: batchRows }, (_, i) => {
    const n = batch * batchRows + i
    const measuredAt = 1_700_000_000_000 + Math.floor(n / seriesCount) * 1_000
    const series = `probe-${n % seriesCount}.temperature`
    return { kind: 'reading', at: measuredAt + 20, series, measuredAt, value: 60 + (n % 97) / 10, quality: 'good' }
  })
}

/** The least that keeps a reading as safely: the same key, the same settings, nothing looked at and nothing answered. */
function bareInsert(file: string): { insert(entries: NewEntry[]): void; close(): void } {
  const db = new Database(file)
  db.pragma('journal_mode = WAL')
  db.pragma('synchronous = FULL')
  db.exec(`CREATE TABLE reading (series INTEGER, measured_at INTEGER, value REAL, arrived_at INTEGER, seq INTEGER,
    PRIMARY KEY (series, measured_at)) STRICT, WITHOUT ROWID`)
  const statement = db.prepare('INSERT INTO reading VALUES (?, ?, ?, ?, ?)')
  const ids = new Map<string, number>()
  let seq = 0
  const insert = db.transaction((entries: NewEntry[]) => {
    for (const entry of entries) {
      if (entry.kind !== 'reading') continue
      let id = ids.get(entry.series)
      if (id === undefined) {
        id = ids.size
        ids.set(entry.series, id)
      }
      statement.run(id, entry.measuredAt, entry.value, entry.at, ++seq)
    }
  })
  return { insert, close: () => db.close() }
}
