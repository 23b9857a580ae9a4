/** A gateway's store in a process of its own, that is going to be killed: appends batch after batch and says which are on disk. */
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import { reading } from './entries.ts'

/** Readings in one batch. */
export const batchRows = 50

/** Writes the number of each batch to `say` after its append has resolved; never ends by itself. */
export async function appendForEver(file: string, say: (batch: number) => void): Promise<never> {
  const store = await openSqliteStore(file)
  for (let batch = 0; ; batch++) {
    await store.append(Array.from({ length: batchRows }, (_, i) => reading(batch * batchRows + i, batch)))
    say(batch)
  }
}
