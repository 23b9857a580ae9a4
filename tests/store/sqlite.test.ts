/** The store on disk keeps the promises of every store, and those that only a disk can keep. */
import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { StoreRefusal } from '../../gateway/store/refusal.ts'
import { schemaVersion } from '../../gateway/store/sqlite/migrations.ts'
import { openFile } from '../../gateway/store/sqlite/open.ts'
import { openSqliteStore, sqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import type { Store } from '../../gateway/store/store.ts'
import { noon, reading, unreadable } from './entries.ts'
import { freshFolder } from './folder.ts'
import { kinds, promises, whole } from './promises.ts'

const opened: Store[] = []
afterEach(async () => {
  // A test may have closed its store itself; then closing it again rejects, as promised.
  for (const store of opened.splice(0)) await store.close().catch(() => {})
})

async function open(file: string, options?: Parameters<typeof openSqliteStore>[1]): Promise<Store> {
  const store = await openSqliteStore(file, options)
  opened.push(store)
  return store
}

promises('the store on disk', (options) => open(join(freshFolder(), 'foundry.db'), options))

let folder: string
let file: string
beforeEach(() => {
  folder = freshFolder()
  file = join(folder, 'foundry.db')
})

describe('after a restart', () => {
  test('everything is there, seq goes on rising, and a redelivery is still absorbed', async () => {
    const first = await open(file)
    const told = reading(9, 92, { quality: 'uncertain', reason: 'clock-wrong', claimedAt: 5 })
    await first.append([reading(0, 90), { kind: 'tick', at: noon }, told])
    await first.keep({ snapshot: { seq: 2, state: '{}', shape: 1 } })
    const kept = await first.journal(0, 9)
    await first.close()

    const second = await open(file)
    expect(second.head()).toBe(3)
    expect(await second.journal(0, 9)).toEqual(kept)
    expect(await second.snapshot()).toEqual({ seq: 2, state: '{}', shape: 1 })
    expect(kinds(await second.append([reading(0, 90), { ...told, measuredAt: noon + 77 }]))).toEqual([
      'duplicate',
      'duplicate',
    ])
    const [fate] = await second.append([reading(1, 91)])
    expect(fate).toMatchObject({ entry: { seq: 4 } })
  })

  test('seq never falls back, though the newest entries have been pruned', async () => {
    const first = await open(file, { unreadableKeptMax: 0 })
    await first.append([reading(0, 90), unreadable(1), unreadable(2)])
    await first.close()
    const second = await open(file, { unreadableKeptMax: 0 })
    expect(second.head()).toBe(3)
    expect(await second.count('unreadable')).toBe(2)
  })

  test('the journal is whole where a listener asks from the middle of a large delivery', async () => {
    const store = await open(file)
    for (let n = 0; n < 5; n++) await store.append(Array.from({ length: 1_000 }, (_, i) => reading(n * 1_000 + i, i)))
    const all = await store.journal(0, 9_999)
    expect(all).toHaveLength(5_000)
    for (const after of [0, 1, 499, 999, 1_000, 1_001, 4_999, 5_000])
      expect(await store.journal(after, 1_500)).toEqual(all.slice(after, after + 1_500))
  })
})

describe('on disk means on disk', () => {
  test('synchronous is FULL on the first open and on every later one, for which the library alone would choose less', () => {
    for (let n = 0; n < 3; n++) {
      const { db, lock } = openFile(file)
      expect(db.pragma('synchronous', { simple: true })).toBe(2)
      expect(db.pragma('journal_mode', { simple: true })).toBe('wal')
      db.close()
      lock.release()
    }
    const bare = new Database(file)
    expect(bare.pragma('synchronous', { simple: true })).toBe(1)
    bare.close()
  })

  test('a full disk rejects the batch, keeps none of it, and the same batch is taken once there is room', async () => {
    const { db, lock } = openFile(file)
    const store = sqliteStore({ db, lock }, { unreadableKeptMax: 2 })
    opened.push(store)
    await store.append([reading(-1, 90)])
    const head = store.head()
    const batch = Array.from({ length: 4_000 }, (_, i) => reading(i, i, { series: `s${i % 50}.temperature` }))
    const wrongClock = reading(-1, 90, { quality: 'uncertain', reason: 'clock-wrong', claimedAt: 5 })
    const noted = [unreadable(1), wrongClock, ...batch, unreadable(2)]
    db.pragma(`max_page_count = ${(db.pragma('page_count', { simple: true }) as number) + 5}`)
    for (let n = 0; n < 2; n++) await expect(store.append(noted)).rejects.toThrow(/full/)
    expect(store.head()).toBe(head)
    expect(await store.journal(head, 9)).toEqual([])
    expect(await store.count('unreadable')).toBe(0)
    expect(await store.summaries()).toHaveLength(1)

    db.pragma('max_page_count = 1000000')
    expect(new Set(kinds(await store.append(noted)))).toEqual(new Set(['stored']))
    expect((await store.journal(head, 9_999)).map((e) => e.seq)).toEqual(noted.map((_, i) => head + 1 + i))
    expect((await store.newest('unreadable', 9)).map((u) => u.bytes)).toEqual([2, 1])
    expect((await whole(store, 'w1.temperature', 0, noon * 2)).t).toEqual([noon - 1, noon])
    await store.close()
    const again = await open(file)
    expect(await again.summaries()).toHaveLength(51)
    for (const series of ['s0.temperature', 's49.temperature']) expect(await again.readingsOf(series)).toBe(80)
  })

  test('readings are counted as of the moment of asking, whatever arrives meanwhile', async () => {
    let meanwhile = async () => {}
    const store = await open(file, { breathe: () => meanwhile() })
    await store.append([reading(0, 90), reading(1, 91)])
    let arrivals = 0
    meanwhile = async () => {
      if (arrivals < 3) await store.append([reading(100 + arrivals++, 92)])
    }
    expect(await store.readingsOf('w1.temperature')).toBe(2)
    expect(arrivals).toBeGreaterThan(0)
    meanwhile = async () => {}
    expect(await store.readingsOf('w1.temperature')).toBe(2 + arrivals)
  })
})

describe('a file that is not for us', () => {
  async function refusal(path: string): Promise<string> {
    const outcome = await openSqliteStore(path).then(
      () => null,
      (error: unknown) => error,
    )
    expect(outcome).toBeInstanceOf(StoreRefusal)
    return (outcome as StoreRefusal).message
  }

  const filesIn = (path: string) =>
    Object.fromEntries(readdirSync(path).map((name) => [name, readFileSync(join(path, name), 'base64')]))

  test('a database of a newer version is refused in one sentence and left as it is, byte for byte', async () => {
    await (await openSqliteStore(file)).close()
    const newer = new Database(file)
    newer.pragma(`user_version = ${schemaVersion + 1}`)
    newer.close()
    const before = filesIn(folder)
    expect(await refusal(file)).toMatch(/newer Cirewatch .*left as it is\.$/)
    expect(filesIn(folder)).toEqual(before)
  })

  test('also where a crash left its newest version in the log only', async () => {
    await (await openSqliteStore(file)).close()
    const newer = new Database(file)
    newer.pragma(`user_version = ${schemaVersion + 1}`)
    const crashed = join(freshFolder(), 'foundry.db')
    for (const part of ['', '-wal']) writeFileSync(crashed + part, readFileSync(file + part))
    newer.close()
    const before = ['', '-wal'].map((part) => readFileSync(crashed + part, 'base64'))
    expect(await refusal(crashed)).toMatch(/newer Cirewatch/)
    expect(['', '-wal'].map((part) => readFileSync(crashed + part, 'base64'))).toEqual(before)
  })

  test('a file that is no database, or the database of another program, is refused and left as it is', async () => {
    writeFileSync(file, 'Day book, kiln 2: '.repeat(400))
    const other = join(folder, 'other.db')
    const db = new Database(other)
    db.exec('CREATE TABLE customers (name TEXT)')
    db.close()
    const before = filesIn(folder)
    expect(await refusal(file)).toMatch(/is not a Cirewatch database; it was left as it is\.$/)
    expect(await refusal(other)).toMatch(/is not a Cirewatch database; it was left as it is\.$/)
    expect(filesIn(folder)).toEqual(before)
  })

  test('a folder that cannot be made or written is refused with its name', async () => {
    writeFileSync(join(folder, 'a-file'), '')
    expect(await refusal(join(folder, 'a-file', 'foundry.db'))).toMatch(
      /^The folder .*a-file cannot be written \(\w+\)\.$/,
    )
  })

  test('a folder that does not exist yet is made', async () => {
    const store = await open(join(folder, 'new', 'deeper', 'foundry.db'))
    expect(kinds(await store.append([reading(0, 90)]))).toEqual(['stored'])
  })

  test('a second gateway on the same file is refused, and the first goes on unharmed', async () => {
    const first = await open(file)
    await first.append([reading(0, 90)])
    expect(await refusal(file)).toMatch(/^Another gateway is using the database .*\.$/)
    await first.append([reading(1, 91)])
    await first.close()
    const next = await open(file)
    expect((await whole(next, 'w1.temperature', 0, noon * 2)).v).toEqual([90, 91])
  })
})
