/** A database of the previous release: copied before it is changed, opened, holds everything, and is a database like any other from then on. */
import { cpSync, existsSync, readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { backUp } from '../../gateway/store/sqlite/keeping/backup.ts'
import { copyBefore } from '../../gateway/store/sqlite/keeping/before.ts'
import { restore } from '../../gateway/store/sqlite/keeping/restore.ts'
import { verify } from '../../gateway/store/sqlite/keeping/verify.ts'
import { memoryStore } from '../../gateway/store/memory.ts'
import { schemaVersion } from '../../gateway/store/sqlite/migrations.ts'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import { dayMs } from '../../shared/time.ts'
import { noon } from '../store/entries.ts'
import { freshFolder } from '../store/folder.ts'
import { releaseEntries, releaseFinding, releaseSnapshot } from '../store/previous-release.ts'
import { releaseFile, sealAll } from './house.ts'

const copiesIn = (folder: string) => readdirSync(folder).filter((name) => /^cirewatch\.db\.v1-[\dTZ-]+$/.test(name))

describe('a database of the previous release', () => {
  it('is proved as it lies there', () => {
    const proof = verify(releaseFile(freshFolder()))
    expect(proof.told).toEqual([])
    expect([proof.version, proof.blocks, proof.sealed]).toEqual([1, 0, 0])
  })

  it('is copied before it is changed, once, and the copy is the old database whole', async () => {
    const folder = freshFolder()
    const file = releaseFile(folder)
    const before = verify(file)
    await (await openSqliteStore(file)).close()
    await (await openSqliteStore(file)).close()
    const copies = copiesIn(folder)
    expect(copies).toHaveLength(1)
    const copy = verify(join(folder, copies[0] as string))
    expect([copy.version, copy.fingerprint]).toEqual([1, before.fingerprint])
    expect(verify(file)).toMatchObject({ version: schemaVersion, sound: true, fingerprint: before.fingerprint })
  })

  it('opens with everything in it', async () => {
    const store = await openSqliteStore(releaseFile(freshFolder()))
    const same = memoryStore()
    await same.append(releaseEntries())
    expect(await store.journal(0, 10_000)).toEqual(await same.journal(0, 10_000))
    expect(await store.findings({ limit: 10 })).toEqual([releaseFinding])
    expect(await store.snapshot()).toEqual(releaseSnapshot)
    await store.close()
  })

  it('can be sealed, verified, backed up and restored without any reading becoming another', async () => {
    const folder = freshFolder()
    const file = releaseFile(folder)
    const { fingerprint } = verify(file)
    const store = await openSqliteStore(file)
    const journal = await store.journal(0, 10_000)
    expect(await sealAll(store, noon + dayMs)).toBeGreaterThan(2)
    expect(await store.journal(0, 10_000)).toEqual(journal)
    await store.close()
    expect(verify(file)).toMatchObject({ told: [], fingerprint })
    const { name } = backUp({ source: file, folder, at: noon + dayMs })
    const target = join(folder, 'data', 'cirewatch.db')
    restore({ backup: join(folder, name), target, over: false, at: noon + dayMs })
    expect(verify(target)).toMatchObject({ told: [], fingerprint })
  })

  it('can be restored as it is, and is brought to this version when a gateway opens it', async () => {
    const folder = freshFolder()
    const target = join(folder, 'data', 'cirewatch.db')
    const { proof } = restore({ backup: releaseFile(folder), target, over: false, at: noon })
    await (await openSqliteStore(target)).close()
    expect(verify(target)).toMatchObject({ version: schemaVersion, told: [], fingerprint: proof.fingerprint })
    expect(copiesIn(join(folder, 'data'))).toHaveLength(1)
  })

  it('is left as it is, with one sentence, where its copy has no room', () => {
    const folder = freshFolder()
    const file = releaseFile(folder)
    const { fingerprint } = verify(file)
    expect(() => copyBefore(file, 1, () => 10_000)).toThrow(
      /There is no room for the copy of the database of version 1/,
    )
    expect(copiesIn(folder)).toEqual([])
    expect(verify(file)).toMatchObject({ version: 1, fingerprint })
  })

  it('is copied again beside a file that has the name of its copy and is none', () => {
    const folder = freshFolder()
    const file = releaseFile(folder)
    const first = copyBefore(file, 1)
    expect(copyBefore(file, 1)).toBe(first)
    writeFileSync(first, 'somebody wrote over it')
    const second = copyBefore(file, 1)
    expect(second).toBe(`${first}-2`)
    expect(verify(second).told).toEqual([])
  })

  it('is copied with what a crash left in its log', async () => {
    const folder = freshFolder()
    const file = releaseFile(folder)
    const { default: Database } = await import('better-sqlite3')
    const db = new Database(file)
    db.pragma('journal_mode = WAL')
    db.exec(`INSERT INTO note (seq, kind, body) VALUES (99999, 'tick', '{"kind":"tick","at":1}')`)
    // As a kill leaves it: the log beside the file, nobody holding anything.
    const killed = join(freshFolder(), 'cirewatch.db')
    for (const end of ['', '-wal']) cpSync(`${file}${end}`, `${killed}${end}`)
    db.close()
    const copy = copyBefore(killed, 1)
    expect(verify(copy).head).toBe(99_999)
    expect(existsSync(`${copy}-wal`)).toBe(false)
  })
})
