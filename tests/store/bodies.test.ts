/** Memory and disk are one store to whoever uses them: the same calls have the same effects, over restarts. */
import { join } from 'node:path'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { memoryStore } from '../../gateway/store/memory.ts'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import type { Store } from '../../gateway/store/store.ts'
import { batches, noon } from './entries.ts'
import { freshFolder } from './folder.ts'
import { whole } from './promises.ts'

const options = { unreadableKeptMax: 2 }

/** All that can be asked of a store. */
async function everything(store: Store): Promise<unknown> {
  const series = (await store.summaries()).map((summary) => summary.series)
  const kinds = ['fault', 'tick', 'presence', 'conflict', 'unreadable'] as const
  return {
    head: store.head(),
    journal: await store.journal(0, 10_000),
    middle: await store.journal(Math.floor(store.head() / 2), 3),
    summaries: await store.summaries(),
    scans: await Promise.all(series.map((id) => whole(store, id, noon + 2, noon + 30))),
    readings: await Promise.all(series.map((id) => store.readingsOf(id))),
    counts: await Promise.all(kinds.map((kind) => store.count(kind))),
    newest: await Promise.all(kinds.map((kind) => store.newest(kind, 3, Math.ceil(store.head() * 0.8)))),
  }
}

test('whatever is appended, memory and disk give the same fates, the same journal and the same series', async () => {
  const folder = freshFolder()
  let n = 0
  await fc.assert(
    fc.asyncProperty(batches, fc.nat({ max: 8 }), async (calls, restartAt) => {
      const file = join(folder, `${n++}.db`)
      const memory = memoryStore(options)
      let disk = await openSqliteStore(file, options)
      try {
        for (const [i, call] of calls.entries()) {
          if (i === restartAt) {
            await disk.close()
            disk = await openSqliteStore(file, options)
          }
          expect(await disk.append(call)).toEqual(await memory.append(call))
        }
        expect(await everything(disk)).toEqual(await everything(memory))
      } finally {
        await disk.close()
      }
    }),
    { numRuns: 150 },
  )
}, 60_000)
