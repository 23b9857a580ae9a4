/** The built gateway makes its backups in a process of its own: it goes on meanwhile, and a kill of either leaves nothing half by a whole name. */
import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { isHalf } from '../../gateway/store/sqlite/keeping/names.ts'
import { type Proof, verify } from '../../gateway/store/sqlite/keeping/verify.ts'
import type { KeepingBody } from '../../shared/contract/index.ts'
import { startChild } from '../helpers/gateway-child.ts'
import { until } from '../helpers/patience.ts'
import { monthFile } from '../keeping/house.ts'
import { freshFolder } from '../store/folder.ts'

const fingerprintsOf = ({ series }: Proof) => series.map(({ series: name, fingerprint }) => [name, fingerprint])

it('is asked for a backup, makes it beside its work, is killed in the next one, and makes it when it is back', async () => {
  const data = freshFolder()
  const before = fingerprintsOf(verify(await monthFile(data)))
  const copies = join(freshFolder(), 'copies')
  const wish = { data, flags: ['--backups', copies] }
  const kept = async (http: string) => {
    const told = (await (await fetch(`${http}/api/v1/keeping`)).json()) as KeepingBody
    expect(told.backups?.trouble).toBeNull()
    return told.backups?.items ?? []
  }

  const first = await startChild(wish)
  expect((await fetch(`${first.http}/api/v1/backups`, { method: 'POST' })).status).toBe(202)
  await until('there is one backup', async () => (await kept(first.http)).length === 1)
  const [made] = await kept(first.http)
  const proof = verify(join(copies, made?.name ?? ''))
  expect(proof.told).toEqual([])
  // Every reading that was there, though some were sealed since.
  expect(fingerprintsOf(proof)).toEqual(before)
  await fetch(`${first.http}/api/v1/backups`, { method: 'POST' })
  await first.stop('SIGKILL')
  expect(first.said()).not.toContain('Error')

  const second = await startChild(wish)
  await fetch(`${second.http}/api/v1/backups`, { method: 'POST' })
  await until('there is another backup', async () => (await kept(second.http)).length >= 2)
  expect(await second.stop('SIGTERM')).toBe(0)
  expect(second.said()).not.toContain('Error')
  const whole = readdirSync(copies).filter((name) => !isHalf(name))
  expect(whole.flatMap((name) => verify(join(copies, name)).told)).toEqual([])
})
