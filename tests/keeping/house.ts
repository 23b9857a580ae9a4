/** A database with an invented month in it: sealed hours, an open tail, late readings, wrong clocks, conflicts and notes. */
import { cpSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Store } from '../../gateway/store/store.ts'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import type { NewEntry } from '../../shared/contract/index.ts'
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts'
import { chance } from '../series/chance.ts'

/** Midnight at the beginning of the invented month. */
export const monthBegin = Date.UTC(2026, 9, 1)
const series = ['w1.temperature', 'w2.temperature', 'room.humidity', 'kiln.temperature']

export interface MonthWish {
  days?: number
  seed?: number
  /** Readings of one series, ms apart. */
  everyMs?: number
}

/** What arrives in some days, batch by batch, in order of arrival. */
export function* month({ days = 3, seed = 1, everyMs = 5 * minuteMs }: MonthWish = {}): Iterable<NewEntry[]> {
  const draw = chance(seed)
  yield [{ kind: 'start', at: monthBegin, downSince: null }]
  for (let at = monthBegin; at < monthBegin + days * dayMs; at += everyMs) {
    const batch: NewEntry[] = series.map((name, i) => ({
      kind: 'reading',
      series: name,
      measuredAt: at + i,
      at: at + i + Math.floor(draw() * 60),
      value: Math.round((20 + 5 * Math.sin(at / hourMs) + draw()) * 10) / 10,
      quality: draw() < 0.02 ? 'uncertain' : 'good',
    }))
    // A backlog of the hours before, an instrument whose clock is wrong, one that says 850, a value for a taken instant.
    if (draw() < 0.05)
      batch.push({
        kind: 'reading',
        series: 'w1.temperature',
        measuredAt: Math.max(monthBegin, at - Math.floor(draw() * 8 * hourMs)) + 17,
        at,
        value: 21.5,
        quality: 'good',
      })
    if (draw() < 0.05)
      batch.push({
        kind: 'reading',
        series: 'w2.temperature',
        measuredAt: at + 500,
        at: at + 500,
        claimedAt: at - 400 * dayMs,
        value: 22,
        quality: 'uncertain',
        reason: 'clock-wrong',
      })
    if (draw() < 0.03)
      batch.push({
        kind: 'reading',
        series: 'kiln.temperature',
        measuredAt: at + 900,
        at: at + 900,
        value: 850,
        quality: 'bad',
        reason: 'sensor-code',
      })
    if (draw() < 0.02)
      batch.push({ kind: 'reading', series: 'w1.temperature', measuredAt: at, at, value: 99, quality: 'good' })
    if (draw() < 0.2) batch.push({ kind: 'tick', at })
    yield batch
  }
}

export async function fill(store: Store, wish: MonthWish = {}, until?: (batch: number) => void): Promise<void> {
  let batch = 0
  for (const entries of month(wish)) {
    await store.append(entries)
    until?.(batch++)
  }
}

/** Seals whatever is finished at that moment. */
export async function sealAll(store: Store, now: number): Promise<number> {
  let blocks = 0
  for (;;) {
    const done = await store.seal(now, 16)
    if (done.blocks === 0) return blocks
    blocks += done.blocks
  }
}

/** Built once and then written out again: a month takes longer to make than to copy. */
const made = new Map<string, Buffer>()

/** A closed database of some days, its hours sealed but for the last few, in which some readings are still rows. */
export async function monthFile(folder: string, wish: MonthWish = {}): Promise<string> {
  const file = join(folder, 'cirewatch.db')
  const key = JSON.stringify(wish)
  const bytes = made.get(key)
  if (bytes !== undefined) {
    writeFileSync(file, bytes)
    return file
  }
  const store = await openSqliteStore(file)
  await fill(store, wish)
  await sealAll(store, monthBegin + (wish.days ?? 3) * dayMs - hourMs)
  await store.close()
  made.set(key, readFileSync(file))
  return file
}

/** The database of the previous release, copied to where a test may write. */
export function releaseFile(folder: string): string {
  const file = join(folder, 'cirewatch.db')
  cpSync(new URL('../data/release-0.1.0.db', import.meta.url), file)
  return file
}
