/** Restoring puts a proved backup in place, and never touches a database that is there without being told. */
import { existsSync, linkSync, readdirSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { describe, expect, it } from 'vitest'
import { backUp } from '../../gateway/store/sqlite/keeping/backup.ts'
import { restore } from '../../gateway/store/sqlite/keeping/restore.ts'
import { verify } from '../../gateway/store/sqlite/keeping/verify.ts'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import { freshFolder } from '../store/folder.ts'
import { fill, monthFile } from './house.ts'

const at = Date.UTC(2026, 10, 25, 9, 30)

/** A backup of some invented days, and the folder of a gateway. */
async function backupAndData(): Promise<{ backup: string; data: string; target: string; fingerprint: string | null }> {
  const folder = freshFolder()
  const source = await monthFile(folder, { days: 2 })
  const { name } = backUp({ source, folder, at: at - 1_000_000 })
  const data = join(folder, 'data')
  const { fingerprint } = verify(source)
  return { backup: join(folder, name), data, target: join(data, 'cirewatch.db'), fingerprint }
}

/** Another gateway's database in that place, with other readings. */
async function otherDatabase(target: string): Promise<string | null> {
  const store = await openSqliteStore(target)
  await fill(store, { days: 1, seed: 9 })
  await store.close()
  return verify(target).fingerprint
}

describe('a restore', () => {
  it('brings everything back into an empty folder, ready for a gateway', async () => {
    const { backup, data, target, fingerprint } = await backupAndData()
    const { kept, proof } = restore({ backup, target, over: false, at })
    expect(kept).toBeNull()
    expect(proof.fingerprint).toBe(fingerprint)
    expect(verify(target).fingerprint).toBe(fingerprint)
    const store = await openSqliteStore(target)
    expect(store.head()).toBe(proof.head)
    await store.close()
    expect(readdirSync(data).sort()).toEqual(['cirewatch.db', 'cirewatch.db.lock'])
  })

  it('refuses where a database is, and leaves it as it is', async () => {
    const { backup, target } = await backupAndData()
    const other = await otherDatabase(target)
    expect(() => restore({ backup, target, over: false, at })).toThrow(
      /There is a database .* already; it was left as it is\. With --over/,
    )
    expect(verify(target).fingerprint).toBe(other)
  })

  it('keeps the old database beside it under a dated name when told to go over it', async () => {
    const { backup, target, fingerprint } = await backupAndData()
    const other = await otherDatabase(target)
    const { kept } = restore({ backup, target, over: true, at })
    expect(kept).toBe(`${target}.before-2026-11-25T09-30-00Z`)
    expect(verify(target).fingerprint).toBe(fingerprint)
    expect(verify(kept as string).fingerprint).toBe(other)
    const again = restore({ backup, target, over: true, at })
    expect(again.kept).toBe(`${target}.before-2026-11-25T09-30-00Z-2`)
    expect(verify(kept as string).fingerprint).toBe(other)
  })

  it('takes along what a killed gateway left in its log when it keeps the old one', async () => {
    const { backup, target, fingerprint } = await backupAndData()
    const store = await openSqliteStore(target)
    await fill(store, { days: 1, seed: 9 })
    const running = verify(target)
    // As kill -9 leaves it: the log full, nobody holding anything.
    const folder = freshFolder()
    const left = join(folder, 'cirewatch.db')
    for (const end of ['', '-wal']) linkSync(`${target}${end}`, `${left}${end}`)
    const { kept } = restore({ backup, target: left, over: true, at })
    expect(verify(kept as string).fingerprint).toBe(running.fingerprint)
    expect(verify(left).fingerprint).toBe(fingerprint)
    expect(existsSync(`${left}-wal`)).toBe(false)
    await store.close().catch(() => {})
  })

  it('refuses while a gateway runs', async () => {
    const { backup, target } = await backupAndData()
    const store = await openSqliteStore(target)
    expect(() => restore({ backup, target, over: true, at })).toThrow(/Another gateway is using the database/)
    await store.append([{ kind: 'tick', at }])
    await store.close()
    expect(verify(target).told).toEqual([])
  })

  it('refuses a damaged backup, a backup of a newer release and a file that is none, and touches nothing', async () => {
    const { backup, data, target } = await backupAndData()
    const strokes: [string, RegExp][] = [
      ['DELETE FROM block WHERE id = (SELECT max(id) FROM block)', /is not sound and was not put in place/],
      ['PRAGMA user_version = 99', /written by a newer Cirewatch/],
      ['PRAGMA application_id = 7', /is not a Cirewatch database/],
    ]
    for (const [sql, sentence] of strokes) {
      const db = new Database(backup)
      db.exec(sql)
      db.close()
      expect(() => restore({ backup, target, over: true, at })).toThrow(sentence)
    }
    const letter = join(freshFolder(), 'letter.db')
    writeFileSync(letter, 'Dear foundry, this is no database, however long it may be. '.repeat(40))
    expect(() => restore({ backup: letter, target, over: true, at })).toThrow(/is not a Cirewatch database/)
    expect(() => restore({ backup: `${letter}x`, target, over: true, at })).toThrow(/There is no file/)
    expect(existsSync(data)).toBe(false)
  })

  it('is refused in one sentence where it would not fit, and the old database stays', async () => {
    const { backup, target } = await backupAndData()
    const other = await otherDatabase(target)
    expect(() => restore({ backup, target, over: true, at }, { free: () => 0 })).toThrow(/There is no room/)
    expect(verify(target).fingerprint).toBe(other)
  })

  it('puts a backup in the place of a database that is too damaged to be read, and keeps that too', async () => {
    const { backup, target, fingerprint } = await backupAndData()
    await otherDatabase(target)
    writeFileSync(target, 'A disk wrote this over the whole of the file. '.repeat(100))
    const { kept } = restore({ backup, target, over: true, at })
    expect(verify(target).fingerprint).toBe(fingerprint)
    expect(statSync(kept as string).size).toBeGreaterThan(4_000)
  })
})
