/** `verify` re-reads everything: a sound database is proved, and whatever is broken is named with its place. */
import { createHash } from 'node:crypto'
import { closeSync, openSync, writeSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { describe, expect, it } from 'vitest'
import { verify } from '../../gateway/store/sqlite/keeping/verify.ts'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import { qualities, qualityReasons } from '../../shared/contract/index.ts'
import { dayMs } from '../../shared/time.ts'
import { freshFolder } from '../store/folder.ts'
import { fill, monthBegin, monthFile, sealAll } from './house.ts'

describe('a sound database', () => {
  it('is proved with the counts of everything in it', async () => {
    const file = await monthFile(freshFolder())
    const proof = verify(file)
    expect(proof.told).toEqual([])
    expect(proof.sound).toBe(true)
    const store = await openSqliteStore(file)
    try {
      for (const { series, readings, first, last } of proof.series) {
        expect(readings).toBe(await store.readingsOf(series))
        const summary = (await store.summaries()).find((s) => s.series === series)
        expect([first, last]).toEqual([summary?.first, summary?.newest.measuredAt])
      }
      const journal = await store.journal(0, 1_000_000)
      expect(proof.readings + proof.journal.entries).toBe(journal.length)
      expect(proof.head).toBe(journal.at(-1)?.seq)
      const { sealedReadings, blocks } = await store.stock()
      expect([proof.sealed, proof.blocks]).toEqual([sealedReadings, blocks])
      expect(proof.sealed).toBeGreaterThan(1_000)
      expect(proof.readings).toBeGreaterThan(proof.sealed)
    } finally {
      await store.close()
    }
  })

  it('has the same fingerprints before and after it is sealed, and while late readings lie beside their blocks', async () => {
    const file = join(freshFolder(), 'cirewatch.db')
    const store = await openSqliteStore(file)
    await fill(store)
    const open = verify(file)
    expect(open.sealed).toBe(0)
    await sealAll(store, monthBegin + 1.5 * dayMs)
    const half = verify(file)
    await sealAll(store, monthBegin + 10 * dayMs)
    const whole = verify(file)
    await store.close()
    expect([open.told, half.told, whole.told]).toEqual([[], [], []])
    expect(half.sealed).toBeLessThan(whole.sealed)
    expect(half.fingerprint).toBe(open.fingerprint)
    expect(whole.fingerprint).toBe(open.fingerprint)
    expect(whole.series.map((s) => s.fingerprint)).toEqual(open.series.map((s) => s.fingerprint))
  })

  it('has fingerprints that anybody can take again from the journal, as they are described', async () => {
    const file = await monthFile(freshFolder())
    const proof = verify(file)
    const store = await openSqliteStore(file)
    const journal = await store.journal(0, 1_000_000)
    await store.close()
    for (const { series, fingerprint } of proof.series) {
      const hash = createHash('sha256').update(`cirewatch readings 1\n${series}\n`)
      const own = journal.flatMap((e) => (e.kind === 'reading' && e.series === series ? [e] : []))
      for (const e of own.toSorted((a, b) => a.measuredAt - b.measuredAt)) {
        const record = Buffer.alloc(42)
        record.writeDoubleLE(e.measuredAt, 0)
        record.writeDoubleLE(e.value, 8)
        record.writeUInt8(qualities.indexOf(e.quality), 16)
        record.writeUInt8(e.reason === undefined ? 255 : qualityReasons.indexOf(e.reason), 17)
        record.writeDoubleLE(e.at, 18)
        record.writeDoubleLE(e.seq, 26)
        if (e.claimedAt === undefined) record.write('000000000000f87f', 34, 'hex')
        else record.writeDoubleLE(e.claimedAt, 34)
        hash.update(record)
      }
      expect(fingerprint).toBe(hash.digest('hex'))
    }
  })

  it('is told apart from one that differs in a single value, time, quality or order of arrival', async () => {
    const file = await monthFile(freshFolder())
    const before = verify(file)
    for (const change of [
      'value = value + 0.1',
      'arrived_at = arrived_at + 1',
      'quality = 1 - quality % 2',
      'measured_at = measured_at + 1',
    ]) {
      const db = new Database(file)
      db.exec('BEGIN')
      db.exec(`UPDATE reading SET ${change} WHERE seq = (SELECT max(seq) FROM reading)`)
      db.exec('COMMIT')
      db.close()
      const after = verify(file)
      expect(after.fingerprint, change).not.toBe(before.fingerprint)
      before.fingerprint = after.fingerprint
    }
  })

  it('is proved beside a gateway that goes on writing and sealing', async () => {
    const file = join(freshFolder(), 'cirewatch.db')
    const store = await openSqliteStore(file)
    const proofs: ReturnType<typeof verify>[] = []
    await fill(store, { days: 2 }, (batch) => {
      if (batch % 150 === 100) proofs.push(verify(file))
    })
    await sealAll(store, monthBegin + dayMs)
    proofs.push(verify(file))
    await store.close()
    expect(proofs.flatMap(({ told }) => told)).toEqual([])
    expect(proofs.length).toBeGreaterThan(3)
  })

  it('is proved after old days were let go', async () => {
    const file = join(freshFolder(), 'cirewatch.db')
    const store = await openSqliteStore(file)
    await fill(store)
    await sealAll(store, monthBegin + 1.5 * dayMs)
    const before = monthBegin + dayMs
    await store.append([{ kind: 'retired', at: monthBegin + 3 * dayMs, before, readings: 1 }])
    const gone = await store.retire(before)
    const { told, series } = verify(file)
    await store.close()
    expect(gone).toBeGreaterThan(500)
    expect(told).toEqual([])
    expect(Math.min(...series.map(({ first }) => first ?? 0))).toBeGreaterThanOrEqual(before)
  })
})

/** Each is one stroke with a tool that knows nothing of our rules, and what must be said of it. */
const strokes: [name: string, sql: string, sentence: RegExp][] = [
  ['a block is gone', 'DELETE FROM block WHERE id = (SELECT min(id) FROM block)', /block \d+ is not there/],
  ['a sheet is gone', 'DELETE FROM sheet WHERE id = (SELECT min(id) FROM sheet)', /blocks stand in no sheet/],
  [
    'bytes of a course are changed',
    `UPDATE block SET course = CAST(substr(course, 1, 20) || x'5a' || substr(course, 22) AS BLOB)
     WHERE id = (SELECT min(id) FROM block)`,
    /The sheet of \S+ for 2026-10-\d\d, block \d+: /,
  ],
  [
    'bytes of an arrival are cut off',
    'UPDATE block SET arrival = substr(arrival, 1, length(arrival) - 1) WHERE id = (SELECT min(id) FROM block)',
    /block \d+: /,
  ],
  [
    'a sheet is cut off',
    'UPDATE sheet SET headers = substr(headers, 1, length(headers) - 3) WHERE id = (SELECT min(id) FROM sheet)',
    /The sheet of \S+ for 2026-10-01: /,
  ],
  [
    'a block belongs to another series',
    'UPDATE block SET series = series + 1 WHERE id = (SELECT min(id) FROM block)',
    /belongs to the series with the number 2/,
  ],
  [
    'the index by arrival lost an entry',
    'DELETE FROM seq_span WHERE block = (SELECT min(block) FROM seq_span)',
    /is not found from there/,
  ],
  ['the index by arrival has one too many', 'INSERT INTO seq_span VALUES (77, 1)', /entries of the index by arrival/],
  [
    'a row lies on a sealed instant',
    `INSERT INTO reading (series, measured_at, seq, arrived_at, value, quality) VALUES (1, ${monthBegin}, 999999999, ${monthBegin}, 1, 0)`,
    /is there twice: in block \d+ and as an open row/,
  ],
  [
    'a seq is used twice',
    'UPDATE reading SET seq = (SELECT max(seq) FROM note) WHERE seq = (SELECT max(seq) FROM reading)',
    /which another entry has too/,
  ],
  [
    'a seq was never given',
    'UPDATE reading SET seq = 123456789 WHERE seq = (SELECT max(seq) FROM reading)',
    /123456789 in the order of arrival, which was never given/,
  ],
  [
    'a row is gone that a delivery speaks of',
    'DELETE FROM reading WHERE seq = (SELECT max(seq) FROM reading)',
    /leads to a reading of \S+ at 2026-10-03T\S+, which is not there/,
  ],
  [
    'a delivery is gone',
    'DELETE FROM delivery WHERE first_seq = (SELECT max(first_seq) FROM delivery)',
    /is found by no delivery: a replay would miss it|which was never given/,
  ],
  ['a series has lost its name', `DELETE FROM series WHERE name = 'room.humidity'`, /belong to no series/],
  ['a claim is gone', 'DELETE FROM claim', /claimed the instant \S+ and is not found by it/],
  [
    'a note is no JSON',
    `UPDATE note SET body = '{' WHERE seq = 1`,
    /Entry 1 of the journal \(start\): it cannot be read/,
  ],
  [
    'a note is of another kind',
    `UPDATE note SET kind = 'tick' WHERE seq = 1`,
    /says in its text that it is of kind start/,
  ],
  [
    'a conflict has lost its key',
    `UPDATE note SET once = NULL WHERE kind = 'conflict'`,
    /is not found by what makes it the only one of its kind/,
  ],
  ['a series says another number of sealed readings', 'UPDATE series SET sealed = sealed + 1', /readings in blocks;/],
  ['the last sealing says a lower number', 'UPDATE sealing SET head = 1', /newer than the last sealing/],
]

describe('a damaged database', () => {
  it.each(strokes)('is told as such where %s', async (_name, sql, sentence) => {
    const file = await monthFile(freshFolder(), { days: 3 })
    const db = new Database(file)
    expect(db.prepare(sql).run().changes).toBeGreaterThan(0)
    db.close()
    const { sound, told } = verify(file)
    expect(sound).toBe(false)
    expect(
      told.some((line) => sentence.test(line)),
      told.join('\n'),
    ).toBe(true)
  })

  it.each(['block', 'sheet', 'reading', 'note', 'delivery'])(
    'is told as such where the first page of the table %s is overwritten',
    async (table) => {
      const file = await monthFile(freshFolder())
      const db = new Database(file)
      const page = db.prepare<[string], number>('SELECT rootpage FROM sqlite_schema WHERE name = ?').pluck().get(table)
      db.close()
      const handle = openSync(file, 'r+')
      writeSync(handle, Buffer.alloc(4_096, 0xa5), 0, 4_096, ((page ?? 0) - 1) * 4_096)
      closeSync(handle)
      const { sound, told } = verify(file)
      expect(sound).toBe(false)
      expect(told.length).toBeGreaterThan(0)
    },
  )

  it('tells at most a hundred faults one by one, and counts the others', async () => {
    const file = await monthFile(freshFolder())
    const db = new Database(file)
    db.exec('DELETE FROM block')
    db.close()
    const { told, faults } = verify(file)
    expect(told).toHaveLength(100)
    expect(faults).toBeGreaterThan(100)
  })
})
