/** After any storm – drop, repeat, delay, reorder, clock steps, crash, full disk – the same four things are true. */
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { memoryStore } from '../../gateway/store/memory.ts'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import { tempFolder } from '../helpers/temp-folder.ts'
import { check, weathered } from './passage.ts'
import { seedOf } from './seed.ts'
import { fair, storm, type Weather } from './weather.ts'

const kinds: [name: string, weather: Weather][] = [
  ['fair weather', fair],
  ['a bad network', { ...fair, drop: 0.3, repeat: 0.2, delay: 0.3, reorder: 0.3, backlog: 0.2 }],
  ['a disk that is full now and then', { ...fair, diskRefusal: 0.05 }],
  ['power cuts', { ...fair, crash: 0.03, drop: 0.1 }],
  ['a clock that jumps', { ...fair, clockStep: 0.02 }],
  ['listeners that lose their line', { ...fair, lostLine: 0.3 }],
]

describe('every acknowledged reading once, findings as replayed, no seq twice or skipped, queues within limits', () => {
  it.each(kinds)('after %s', async (_name, weather) => {
    const one = await weathered(memoryStore(), seedOf(), weather)
    await check(one)
    await one.end()
  })

  it.each([0, 1, 2, 3, 4, 5])('after all of it at once (seed + %i)', async (nth) => {
    const seed = seedOf() + nth
    const one = await weathered(memoryStore(), seed, storm)
    console.log(
      `seed ${seed}: ${one.acknowledged.length} acknowledged of ${one.happened.sent} messages`,
      JSON.stringify(one.happened),
    )
    await check(one)
    expect(Object.values(one.happened).every((n) => n > 0)).toBe(true)
    expect(one.ears.some((ear) => ear.resumed > 0)).toBe(true)
    await one.end()
  })

  it('after all of it at once, on the disk', async () => {
    const one = await weathered(await openSqliteStore(join(await tempFolder(), 'foundry.db')), seedOf(), storm)
    await check(one)
    await one.end()
  })
})
