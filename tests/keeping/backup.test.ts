/** A backup is a whole copy of one moment, made beside a running gateway, and has its name only when it was read back. */
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { describe, expect, it } from 'vitest'
import { backUp } from '../../gateway/store/sqlite/keeping/backup.ts'
import { Backups } from '../../gateway/store/sqlite/keeping/backups.ts'
import { backupName, timeOfBackup } from '../../gateway/store/sqlite/keeping/names.ts'
import { verify } from '../../gateway/store/sqlite/keeping/verify.ts'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import { dayMs } from '../../shared/time.ts'
import { freshFolder } from '../store/folder.ts'
import { fill, monthBegin, monthFile } from './house.ts'

const at = Date.UTC(2026, 10, 25, 3)

describe('a backup', () => {
  it('holds everything, bit for bit, and is called after its moment', async () => {
    const folder = freshFolder()
    const source = await monthFile(folder)
    const done = backUp({ source, folder: join(folder, 'copies'), at })
    expect(done.name).toBe('cirewatch-2026-11-25T03-00-00Z.db')
    expect(readdirSync(join(folder, 'copies'))).toEqual([done.name])
    const copy = verify(join(folder, 'copies', done.name))
    const own = verify(source)
    expect(copy.told).toEqual([])
    expect(copy.fingerprint).toBe(own.fingerprint)
    expect(done).toMatchObject({ readings: own.readings, entries: own.journal.entries, series: own.series.length })
  })

  it('is one file that opens without leaving others behind, and that a gateway can go on from', async () => {
    const folder = freshFolder()
    const { name } = backUp({ source: await monthFile(folder), folder, at })
    const copy = join(folder, name)
    verify(copy)
    expect(readdirSync(folder).filter((file) => file.startsWith(name))).toEqual([name])
    const store = await openSqliteStore(copy)
    const head = store.head()
    await store.append([{ kind: 'tick', at }])
    expect(store.head()).toBe(head + 1)
    await store.close()
    expect(verify(copy).told).toEqual([])
  })

  it('is of one moment, whatever arrives and is sealed while it is made', async () => {
    const folder = freshFolder()
    const source = join(folder, 'cirewatch.db')
    const store = await openSqliteStore(source)
    const made: { readings: number; entries: number; name: string; head: number }[] = []
    await fill(store, { days: 2 }, (batch) => {
      if (batch % 120 !== 60) return
      const head = store.head()
      made.push({ ...backUp({ source, folder: join(folder, 'copies'), at: at + batch * 1_000 }), head })
    })
    await store.close()
    expect(made.length).toBeGreaterThan(3)
    for (const { name, readings, entries, head } of made) {
      const proof = verify(join(folder, 'copies', name))
      expect(proof.told).toEqual([])
      // Nothing was appended in this thread meanwhile, so its moment is known exactly.
      expect(proof.head).toBe(head)
      expect(readings + entries).toBe(head)
    }
  })

  it('takes what lies in the log of a gateway that was killed', async () => {
    const folder = freshFolder()
    const source = join(folder, 'cirewatch.db')
    const store = await openSqliteStore(source)
    await fill(store, { days: 1 })
    const { readings } = verify(source)
    expect(readFileSync(`${source}-wal`).byteLength).toBeGreaterThan(0)
    expect(backUp({ source, folder: join(folder, 'copies'), at }).readings).toBe(readings)
    await store.close()
  })

  it('is never written over an existing file', async () => {
    const folder = freshFolder()
    const source = await monthFile(folder, { days: 1 })
    writeFileSync(join(folder, backupName(at)), 'somebody put this here')
    expect(() => backUp({ source, folder, at })).toThrow(/There is a backup .* already; it was left as it is/)
    expect(readFileSync(join(folder, backupName(at)), 'utf8')).toBe('somebody put this here')
  })

  it('is refused in one sentence where it would not fit, before anything is written', async () => {
    const folder = freshFolder()
    const source = await monthFile(folder, { days: 1 })
    const copies = join(folder, 'copies')
    expect(() => backUp({ source, folder: copies, at }, { free: () => 1_000 })).toThrow(
      /^There is no room for the backup in .*: it needs \d+ MB with what must stay free, and 1 MB are free\.$/,
    )
    expect(readdirSync(copies)).toEqual([])
  })

  it('is refused of a damaged database, and nothing of it is kept', async () => {
    const folder = freshFolder()
    const source = await monthFile(folder, { days: 1 })
    const db = new Database(source)
    db.exec('DELETE FROM block WHERE id = (SELECT min(id) FROM block)')
    db.close()
    const copies = join(folder, 'copies')
    expect(() => backUp({ source, folder: copies, at })).toThrow(
      /The backup is not sound and was not kept: .*not there/,
    )
    expect(readdirSync(copies)).toEqual([])
  })

  it('takes away what a killed one left, and nothing else', async () => {
    const folder = freshFolder()
    const source = await monthFile(folder, { days: 1 })
    const copies = join(folder, 'copies')
    mkdirSync(copies)
    for (const name of [
      `${backupName(at - dayMs)}.half`,
      `${backupName(at - dayMs)}.half-journal`,
      'letter.txt',
      'a.half',
    ])
      writeFileSync(join(copies, name), 'x')
    const { name } = backUp({ source, folder: copies, at })
    expect(readdirSync(copies).sort()).toEqual(['a.half', name, 'letter.txt'].sort())
  })
})

describe('the folder of backups', () => {
  it('lists only files of our own name, newest first, and takes no other away', async () => {
    const folder = freshFolder()
    const backups = new Backups({ source: await monthFile(folder, { days: 1 }), folder })
    writeFileSync(join(folder, 'cirewatch-2026-13-45T03-00-00Z.db'), 'x')
    writeFileSync(join(folder, 'cirewatch.db.v1-2026-11-25T03-00-00Z'), 'x')
    await backups.make(at)
    await backups.make(at + dayMs)
    expect((await backups.list()).map((file) => file.at)).toEqual([at + dayMs, at])
    for (const name of ['cirewatch.db', 'cirewatch-2026-13-45T03-00-00Z.db', '../cirewatch.db'])
      await expect(backups.remove(name)).rejects.toThrow('no backup of ours')
    await backups.remove(backupName(at))
    expect((await backups.list()).map((file) => file.at)).toEqual([at + dayMs])
    expect(existsSync(join(folder, 'cirewatch.db'))).toBe(true)
  })

  it('is empty where there is no folder yet', async () => {
    const backups = new Backups({ source: 'nothing', folder: join(freshFolder(), 'none') })
    expect(await backups.list()).toEqual([])
    expect(backups.progress()).toBeNull()
  })

  it('reads the moment out of a name and only out of a name of ours', () => {
    expect(timeOfBackup(backupName(monthBegin))).toBe(monthBegin)
    for (const name of ['cirewatch-2026-02-30T00-00-00Z.db', 'x-2026-02-03T00-00-00Z.db', 'cirewatch-2026-02-03.db'])
      expect(timeOfBackup(name)).toBeNull()
  })
})
