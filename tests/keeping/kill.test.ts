/** Killed at any point, a backup leaves at most a file that says it is half, and a restore leaves a whole database, the old or the new. */
import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync, readdirSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'
import { backUp } from '../../gateway/store/sqlite/keeping/backup.ts'
import { isHalf } from '../../gateway/store/sqlite/keeping/names.ts'
import { restore } from '../../gateway/store/sqlite/keeping/restore.ts'
import { verify } from '../../gateway/store/sqlite/keeping/verify.ts'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import { minuteMs } from '../../shared/time.ts'
import { freshFolder } from '../store/folder.ts'
import { fill, month, monthFile } from './house.ts'

const script = fileURLToPath(new URL('./mortal.mjs', import.meta.url))
const at = Date.UTC(2026, 10, 25, 3)

/** Resolves with the signal that ended it. `heard` may end it from outside. */
async function mortal(work: string, ask: object, heard: (kill: () => void) => void = () => {}): Promise<string | null> {
  const child = spawn(process.execPath, [script, work, JSON.stringify(ask)], { stdio: ['ignore', 'pipe', 'pipe'] })
  let complaint = ''
  child.stderr.on('data', (bytes) => (complaint += bytes))
  child.stdout.on('data', () => heard(() => child.kill('SIGKILL')))
  const [, signal] = (await once(child, 'close')) as [number | null, string | null]
  expect(complaint).toBe('')
  return signal
}

describe('a backup in the middle of a flood', () => {
  it('is of one moment between its beginning and its end, and sound, while thousands of readings arrive and are sealed', async () => {
    const folder = freshFolder()
    const source = await monthFile(folder, { days: 14, everyMs: minuteMs })
    const copies = join(folder, 'copies')
    const store = await openSqliteStore(source)
    const before = store.head()
    let isMade = false
    const making = mortal('backup', { source, folder: copies, at, dieAt: 'never' }).finally(() => (isMade = true))
    let batches = 0
    for (const entries of month({ days: 40, seed: 5, everyMs: minuteMs })) {
      if (isMade) break
      await store.append(entries)
      if (++batches % 50 === 0) await store.seal(at, 4)
      // Let the other process be heard.
      await new Promise((resolve) => setImmediate(resolve))
    }
    expect(await making).toBeNull()
    const after = store.head()
    const { told, readings, journal, head } = verify(join(copies, readdirSync(copies)[0] as string))
    expect(told).toEqual([])
    expect(batches).toBeGreaterThan(10)
    expect(head).toBeGreaterThanOrEqual(before)
    expect(head).toBeLessThan(after)
    // Nothing of that moment is missing: every number up to it is an entry.
    expect(readings + journal.entries).toBe(head)
    await store.close()
    expect(verify(source).told).toEqual([])
  })
})

describe('a backup that is killed', () => {
  it.each(['pages', 'journal', 'series'])('while %s are looked at leaves nothing of its name', async (dieAt) => {
    const folder = freshFolder()
    const source = await monthFile(folder, { days: 1 })
    const copies = join(folder, 'copies')
    expect(await mortal('backup', { source, folder: copies, at, dieAt })).toBe('SIGKILL')
    expect(readdirSync(copies).filter((name) => !isHalf(name))).toEqual([])
    const { name } = backUp({ source, folder: copies, at })
    expect(readdirSync(copies)).toEqual([name])
    expect(verify(join(copies, name)).fingerprint).toBe(verify(source).fingerprint)
  })

  it('in the middle of copying leaves nothing of its name, and the database as it was', async () => {
    const folder = freshFolder()
    const source = await monthFile(folder, { days: 14, everyMs: minuteMs })
    const { fingerprint } = verify(source)
    const copies = join(folder, 'copies')
    const ask = { source, folder: copies, at, dieAt: 'pages' }
    expect(await mortal('backup', ask, (kill) => kill())).toBe('SIGKILL')
    const left = existsSync(copies) ? readdirSync(copies) : []
    expect(left.filter((name) => !isHalf(name))).toEqual([])
    expect(verify(source)).toMatchObject({ told: [], fingerprint })
    expect(verify(join(copies, backUp({ source, folder: copies, at }).name)).fingerprint).toBe(fingerprint)
  })
})

describe('a backup on a disk that takes no more', () => {
  it('is refused in one sentence, and nothing of it is kept', async () => {
    const folder = freshFolder()
    const source = await monthFile(folder, { days: 14, everyMs: minuteMs })
    const { fingerprint } = verify(source)
    const copies = join(folder, 'copies')
    const ask = JSON.stringify({ source, folder: copies, at })
    // The system refuses every byte beyond some hundred kB of a file: the write in the middle of the copy fails.
    const limited = ['-c', 'ulimit -f 300; exec "$0" "$@"', process.execPath, script, 'refusedBackup', ask]
    const child = spawn('sh', limited, { stdio: ['ignore', 'pipe', 'inherit'] })
    let said = ''
    child.stdout.on('data', (bytes) => (said += bytes))
    await once(child, 'close')
    expect(said).toMatch(/^StoreRefusal: The backup could not be written to .*copies \(SQLITE_IOERR_WRITE\)\.$/)
    expect(readdirSync(copies)).toEqual([])
    expect(verify(source)).toMatchObject({ told: [], fingerprint })
  })
})

describe('a restore that is killed', () => {
  const steps = ['series', 'copied', 'gathered', 'kept', 'cleared', 'placed']

  it.each(steps)('at "%s" leaves a whole database, the old or the new, and can be done again', async (dieAt) => {
    const folder = freshFolder()
    const source = await monthFile(folder, { days: 1 })
    const backup = join(folder, backUp({ source, folder, at }).name)
    const target = join(folder, 'data', 'cirewatch.db')
    const store = await openSqliteStore(target)
    await fill(store, { days: 1, seed: 9 })
    await store.close()
    const [fresh, old] = [verify(backup).fingerprint, verify(target).fingerprint]

    expect(await mortal('bringBack', { backup, target, over: true, at, dieAt })).toBe('SIGKILL')
    const now = verify(target)
    expect(now.told).toEqual([])
    expect(now.fingerprint).toBe(dieAt === 'placed' ? fresh : old)
    // Whatever it is, a gateway can open it and write to it.
    const reopened = await openSqliteStore(target)
    await reopened.append([{ kind: 'tick', at }])
    await reopened.close()
    const { fingerprint } = verify(target)

    const { kept } = restore({ backup, target, over: true, at: at + minuteMs })
    expect(verify(target).fingerprint).toBe(fresh)
    expect(verify(kept as string).fingerprint).toBe(fingerprint)
    expect(readdirSync(join(folder, 'data')).filter((name) => name.endsWith('.half'))).toEqual([])
    expect(statSync(target).nlink).toBe(1)
  })
})
