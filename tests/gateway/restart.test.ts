/** A gateway that is stopped, or that dies, comes back as it was: the same findings, alarms and runs. */
import { copyFileSync, existsSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import type { Alarm, Finding, StationView, UnclaimedBody } from '../../shared/contract/index.ts'
import { smallFoundry, startGateway, type TestGateway } from '../helpers/gateway.ts'
import { tempFolder } from '../helpers/temp-folder.ts'

const noon = Date.UTC(2026, 2, 1, 12)

/** An eventful half hour: a pot above its ceiling and seen, a coating under way, a room outside its band, a kiln that went quiet. */
async function eventful(gateway: TestGateway): Promise<void> {
  const { ask, publish, lead } = gateway
  await ask('/api/v1/runs', { kind: 'drying', station: 'room', recipe: 'backup', by: 'Ada' })
  const coating = await ask<{ id: string }>('/api/v1/runs', {
    kind: 'coating',
    station: 'pot',
    recipe: 'figure',
    piece: 'Horse',
    by: 'Ada',
  })
  await publish('kiln-air', { celsius: 400 })
  for (let s = 0; s <= 1_800; s += 30) {
    await lead(noon + s * 1_000)
    await publish('pot-mid', { at: noon + s * 1_000, celsius: s < 600 ? 106 : 163 })
    await publish('room-air', { at: noon + s * 1_000, celsius: 25, relativeHumidity: 45 })
    if (s === 300) await ask(`/api/v1/runs/${coating.body.id}/steps`, { step: 'coat', coat: 'coat-1', by: 'Ada' })
  }
  const { body } = await ask<{ items: Alarm[] }>('/api/v1/alarms')
  const hot = body.items.find((a) => a.kind === 'above-ceiling')
  await ask(`/api/v1/alarms/${encodeURIComponent(hot?.id ?? '')}/acknowledge`, { by: 'Ada' })
  await publish('stranger', { celsius: 20 })
  await (await gateway.client()).publishAsync('cirewatch/pot-mid/reading', 'rubbish', { qos: 1 })
  await gateway.gateway.settled()
}

/** All that people can see. */
async function seen({ ask }: TestGateway) {
  const get = async <T>(path: string) => (await ask<T>(path)).body
  return {
    stations: (await get<{ items: { view: StationView }[] }>('/api/v1/stations')).items.map((s) => s.view),
    alarms: (await get<{ items: Alarm[] }>('/api/v1/alarms')).items,
    findings: (await get<{ items: Finding[] }>('/api/v1/findings')).items,
    runs: await get('/api/v1/runs'),
    instruments: await get('/api/v1/instruments'),
    unreadable: await get('/api/v1/unreadable'),
    // The newest message as it came is not kept: its readings are.
    unclaimed: (await get<UnclaimedBody>('/api/v1/unclaimed')).items.map(({ lastPayload: _, ...kept }) => kept),
    foundry: await get('/api/v1/foundry'),
  }
}

describe('after an orderly stop', () => {
  it('findings, alarms, runs, unreadables and strangers are what they were', async () => {
    const file = join(await tempFolder(), 'foundry.db')
    const first = await startGateway({ at: noon, foundry: smallFoundry(), store: await openSqliteStore(file) })
    await eventful(first)
    const before = await seen(first)
    expect(before.alarms.map((a) => a.kind)).toContain('above-ceiling')
    expect(before.alarms.map((a) => a.state)).toContain('acknowledged')
    const at = first.clock.now()
    await first.close()
    const second = await startGateway({ at, store: await openSqliteStore(file) })
    expect(await seen(second)).toEqual(before)
  })

  it('the time of its own absence is nobody’s silence', async () => {
    const file = join(await tempFolder(), 'foundry.db')
    const first = await startGateway({ at: noon, foundry: smallFoundry(), store: await openSqliteStore(file) })
    await first.publish('pot-mid', { celsius: 93.4 })
    await first.close()
    const at = noon + 8 * 3_600_000
    const second = await startGateway({ at, store: await openSqliteStore(file) })
    await second.lead(at + 20_000)
    expect((await seen(second)).alarms).toEqual([])
    await second.lead(at + 95_000)
    expect((await seen(second)).alarms.map((a) => `${a.kind} ${a.subject}`)).toContain('gone-quiet pot-mid')
  })
})

describe('after a death without a word', () => {
  it('what was on the disk gives the same findings, alarms and runs', async () => {
    const [folder, other] = [await tempFolder(), await tempFolder()]
    const first = await startGateway({
      at: noon,
      foundry: smallFoundry(),
      store: await openSqliteStore(join(folder, 'foundry.db')),
    })
    await eventful(first)
    const before = await seen(first)
    const at = first.clock.now()
    // The files as they lie on the disk at this moment are what a kill -9 leaves.
    for (const end of ['', '-wal'])
      if (existsSync(join(folder, `foundry.db${end}`)))
        copyFileSync(join(folder, `foundry.db${end}`), join(other, `foundry.db${end}`))
    await first.close()
    const second = await startGateway({ at, store: await openSqliteStore(join(other, 'foundry.db')) })
    expect(await seen(second)).toEqual(before)
  })
})
