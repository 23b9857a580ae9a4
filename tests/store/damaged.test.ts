/** A block that a failing disk has changed: the gateway goes on, what cannot be told is refused with a sentence, and nothing wrong is ever told. */
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { describe, expect, test } from 'vitest'
import { verify } from '../../gateway/store/sqlite/keeping/verify.ts'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import type { Store } from '../../gateway/store/store.ts'
import { hourMs } from '../../shared/time.ts'
import { noon, reading } from './entries.ts'
import { freshFolder } from './folder.ts'

const hour = Math.floor(noon / hourMs) * hourMs
const at = (t: number, v = 91) => reading(t - noon, v)

/** Three sealed hours of w1 and of w2; the middle block of w1 is then changed in one byte of its course. */
async function damaged(): Promise<{ file: string; store: Store }> {
  const file = join(freshFolder(), 'damaged.db')
  const before = await openSqliteStore(file)
  for (let i = 0; i < 3 * 360; i++)
    await before.append([at(hour + i * 10_000, 90 + (i % 7)), { ...at(hour + i * 10_000), series: 'w2.temperature' }])
  for (let done = 1; done > 0; ) done = (await before.seal(hour + 10 * hourMs, 10)).blocks
  await before.close()
  const db = new Database(file)
  const [, second] = db.prepare('SELECT id FROM block WHERE series = 1 ORDER BY id').pluck().all() as number[]
  const course = Buffer.from(db.prepare('SELECT course FROM block WHERE id = ?').pluck().get(second) as Buffer)
  course[course.length >> 1] = (course[course.length >> 1] as number) ^ 0x10
  db.prepare('UPDATE block SET course = ? WHERE id = ?').run(course, second)
  db.close()
  return { file, store: await openSqliteStore(file) }
}

const chart = (store: Store, series: string, from: number, to: number) =>
  store.chart({ series, from, to, columns: 500, silenceMs: 30_000 })

describe('a block that is damaged', () => {
  test('is never told as if it were sound, and does not spoil what lies beside it', async () => {
    const { store } = await damaged()
    await expect(chart(store, 'w1.temperature', hour + hourMs, hour + 2 * hourMs)).rejects.toThrow(
      /damaged at byte \d+/,
    )
    expect((await chart(store, 'w1.temperature', hour, hour + hourMs - 60_000)).readings).toBe(354)
    expect((await chart(store, 'w2.temperature', hour, hour + 3 * hourMs)).readings).toBe(1_080)
    await store.close()
  })

  test('stops neither what arrives late in it, nor the sealing of others, nor a replay', async () => {
    const { store } = await damaged()
    const late = [at(hour + hourMs + 5, 95), { ...at(hour + hourMs + 5, 95), series: 'w2.temperature' }]
    expect((await store.append(late)).map((fate) => fate.is)).toEqual(['stored', 'stored'])
    await expect(store.seal(hour + 10 * hourMs, 10)).rejects.toThrow(/damaged/)
    expect((await store.seal(hour + 10 * hourMs, 10).catch(() => ({ blocks: 0 }))).blocks).toBeLessThanOrEqual(1)
    await store.seal(hour + 10 * hourMs, 10).catch(() => {})
    expect((await store.stock()).openReadings).toBe(1)
    const readings = (await store.journal(0, 10_000)).filter((entry) => entry.kind === 'reading')
    expect(readings).toHaveLength(2 * 1_080 + 2 - 360)
    expect(store.damage()).toMatch(/damaged at byte/)
    await store.close()
  })

  test('is named by verify', async () => {
    const { file, store } = await damaged()
    await store.close()
    const proof = verify(file)
    expect(proof.sound).toBe(false)
    expect(proof.told.join(' ')).toMatch(/w1\.temperature/)
  })

  test('does not keep the store from opening, even where it is the newest of its series', async () => {
    const { file, store } = await damaged()
    await store.close()
    const db = new Database(file)
    db.exec('UPDATE block SET course = zeroblob(length(course)), arrival = zeroblob(length(arrival))')
    db.close()
    const again = await openSqliteStore(file)
    expect(again.head()).toBe(2_160)
    expect(await again.summaries()).toEqual([])
    expect((await again.append([at(hour + 9 * hourMs)])).map((fate) => fate.is)).toEqual(['stored'])
    expect((await again.summaries()).map(({ newest }) => newest.measuredAt)).toEqual([hour + 9 * hourMs])
    await again.close()
  })
})
