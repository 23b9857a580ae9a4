/** A gateway that is killed in mid-flood loses nothing that it had called safe, and leaves no lock behind. */
import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { expect, test } from 'vitest'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import { batchRows } from './appender.ts'
import { freshFolder } from './folder.ts'
import { whole } from './promises.ts'

const script = fileURLToPath(new URL('./appender.mjs', import.meta.url))

/** Lets a child append until it has called so many batches safe, kills it, and gives the number of the last one it did. */
async function killAfter(file: string, batches: number): Promise<number> {
  const child = spawn(process.execPath, [script, file], { stdio: ['ignore', 'pipe', 'pipe'] })
  let said = ''
  let complaint = ''
  child.stderr.on('data', (bytes) => (complaint += bytes))
  child.stdout.on('data', (bytes) => {
    said += bytes
    if (said.split('\n').length > batches) child.kill('SIGKILL')
  })
  const [code, signal] = await once(child, 'close')
  expect({ code, signal, complaint }).toEqual({ code: null, signal: 'SIGKILL', complaint: '' })
  // The last piece is empty or a number cut short; what was said whole was safe.
  return Number(said.split('\n').at(-2))
}

test('after kill -9 every reading that was called safe is there once, whole batches only, and the file opens at once', async () => {
  const file = join(freshFolder(), 'foundry.db')
  const safe = await killAfter(file, 40)
  const store = await openSqliteStore(file)
  try {
    const { v, t, seq } = await whole(store, 'w1.temperature', 0, Number.MAX_SAFE_INTEGER)
    expect(v.length % batchRows).toBe(0)
    expect(v.length).toBeGreaterThanOrEqual((safe + 1) * batchRows)
    expect(v).toEqual(v.map((_, i) => Math.floor(i / batchRows)))
    expect(new Set(t).size).toBe(t.length)
    expect((await store.journal(0, v.length + 1)).map((entry) => entry.seq)).toEqual(seq)
    expect(store.head()).toBe(seq.at(-1))
  } finally {
    await store.close()
  }
}, 60_000)
