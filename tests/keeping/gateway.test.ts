/** A gateway keeps its own record safe: it seals, copies, lets go by the house's wish, and tells all of it on one page. */
import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { verify } from '../../gateway/store/sqlite/keeping/verify.ts'
import type { KeepingBody, Problem } from '../../shared/contract/index.ts'
import { dayMs, hourMs, minuteMs } from '../../shared/time.ts'
import { smallFoundry, startGateway } from '../helpers/gateway.ts'
import { freshFolder } from '../store/folder.ts'

const noon = Date.UTC(2026, 10, 25, 12)

type Gateway = Awaited<ReturnType<typeof startGateway>>
const keeping = async (gateway: Gateway) => (await gateway.ask<KeepingBody>('/api/v1/keeping')).body

/** One reading a minute, for so long; the clock is led along. */
async function speak(gateway: Gateway, from: number, minutes: number): Promise<void> {
  for (let m = 0; m < minutes; m++) {
    await gateway.lead(from + m * minuteMs)
    await gateway.publish('pot-mid', { at: from + m * minuteMs, celsius: 90 + (m % 7) / 10 })
  }
}

describe('the page of what is kept', () => {
  it('says plainly that no backups are made where no folder is set, and refuses to make one with how to set it', async () => {
    const gateway = await startGateway({ at: noon })
    const told = await keeping(gateway)
    expect(told).toMatchObject({
      backups: null,
      data: null,
      disk: null,
      pace: null,
      held: { readings: 0, series: 0, since: null, bytes: null },
      retention: { keepDays: null, letGo: 0, times: [], trouble: null },
    })
    const refused = await gateway.ask<Problem>('/api/v1/backups', {})
    expect(refused.status).toBe(409)
    expect(refused.body).toMatchObject({ code: 'no-backups' })
    expect(refused.body.title).toContain('--backups DIR')
  })

  it('counts what is held, since when, and seals finished hours by itself', async () => {
    const gateway = await startGateway({ at: noon, store: 'sqlite', foundry: smallFoundry() })
    await speak(gateway, noon, 90)
    await gateway.lead(noon + 3 * hourMs)
    const { held, disk, data } = await keeping(gateway)
    expect(held).toMatchObject({ readings: 90, series: 1, since: noon, sealedReadings: 90 })
    expect(held.bytes).toBeGreaterThan(4_096)
    expect(disk?.freeBytes).toBeGreaterThan(0)
    expect(data).toBe(gateway.config.data)
  })

  it('tells a pace only where a whole week is there to tell it by', async () => {
    const gateway = await startGateway({ at: noon, store: 'sqlite' })
    await speak(gateway, noon, 10)
    await gateway.lead(noon + 2 * hourMs)
    expect((await keeping(gateway)).pace).toBeNull()
    await gateway.publish('pot-mid', { at: noon - 8 * dayMs, celsius: 20 })
    // It is remembered for an hour.
    await gateway.lead(noon + 4 * hourMs)
    const { pace } = await keeping(gateway)
    expect(pace?.weekReadings).toBe(10)
    expect(pace?.lastsMs).toBeGreaterThan(dayMs)
  })
})

describe('backups of a gateway', () => {
  it('are made by the clock, rotated, told, and hold what the gateway held', async () => {
    const copies = join(freshFolder(), 'copies')
    const flags = ['--backups', copies, '--backup-hours', '1', '--backup-keep', '3']
    const gateway = await startGateway({ at: noon, store: 'sqlite', flags })
    await speak(gateway, noon, 30)
    await gateway.lead(noon + 5.2 * hourMs)
    const { backups, now } = await keeping(gateway)
    expect(backups).toMatchObject({
      folder: copies,
      everyHours: 1,
      keep: 3,
      making: null,
      trouble: null,
      waiting: null,
    })
    expect(backups?.items.map(({ name }) => name)).toEqual(readdirSync(copies).sort().reverse())
    expect(backups?.items).toHaveLength(3)
    expect(backups?.nextAt).toBeGreaterThan(now)
    const newest = backups?.items[0]
    const proof = verify(join(copies, newest?.name ?? ''))
    expect(proof).toMatchObject({ told: [], readings: 30 })
    const metrics = await (await fetch(`${gateway.http}/metrics`)).text()
    expect(metrics).toContain(`cirewatch_backup_newest_timestamp_seconds ${(newest?.at ?? 0) / 1_000}`)
    expect(metrics).toContain('cirewatch_backups_failed_total 0')
  })

  it('are made when somebody asks, at once', async () => {
    const copies = join(freshFolder(), 'copies')
    const gateway = await startGateway({ at: noon, store: 'sqlite', flags: ['--backups', copies] })
    const { status } = await gateway.ask('/api/v1/backups', undefined, 'POST')
    expect(status).toBe(202)
    await gateway.lead(noon + 1)
    expect((await keeping(gateway)).backups?.items.map(({ at }) => at)).toEqual([noon])
  })

  it('that fail are told on the page and counted, and the gateway stays ready', async () => {
    const file = join(freshFolder(), 'a-file')
    const { writeFileSync } = await import('node:fs')
    writeFileSync(file, 'in the way')
    const gateway = await startGateway({ at: noon, store: 'sqlite', flags: ['--backups', file] })
    await gateway.lead(noon + 2 * hourMs + 5 * minuteMs)
    const { backups } = await keeping(gateway)
    expect(backups?.trouble).toMatch(/^The backup could not be written to .*a-file \(E\w+\)\.$/)
    const metrics = await (await fetch(`${gateway.http}/metrics`)).text()
    expect(metrics).toContain('cirewatch_backups_failed_total 3')
    expect((await gateway.ask('/readyz')).status).toBe(200)
  })

  it('are not made while the gateway does not know the time, which the page says', async () => {
    const copies = join(freshFolder(), 'copies')
    const flags = ['--backups', copies, '--keep-days', '400']
    const gateway = await startGateway({ at: noon, store: 'sqlite', flags, builtAt: noon + 400 * dayMs })
    await gateway.lead(noon + 2 * hourMs)
    const { backups } = await keeping(gateway)
    expect(backups).toMatchObject({ items: [], nextAt: null })
    expect(backups?.waiting).toContain('does not know the time')
  })
})

describe('letting go', () => {
  it('happens only where the house wishes it, and is said in the journal first', async () => {
    const gateway = await startGateway({ at: noon, store: 'sqlite', flags: ['--keep-days', '450'] })
    for (let m = 0; m < 5; m++) await gateway.publish('pot-mid', { at: noon - 500 * dayMs + m * minuteMs, celsius: 90 })
    await gateway.publish('pot-mid', { at: noon - 440 * dayMs, celsius: 91 })
    const { store } = gateway.gateway.rooms
    const head = store.head()
    await gateway.lead(noon + 3 * minuteMs)
    expect(await store.readingsOf('pot-mid.temperature')).toBe(1)
    const before = (Math.floor(noon / dayMs) - 450) * dayMs
    const entries = await store.newest('retired', 10)
    expect(entries).toEqual([{ kind: 'retired', at: expect.any(Number), before, readings: 5, seq: expect.any(Number) }])
    expect(entries[0]?.seq).toBeGreaterThan(head)
    const { retention, held } = await keeping(gateway)
    expect(held).toMatchObject({ readings: 1, since: noon - 440 * dayMs })
    expect(retention).toMatchObject({ keepDays: 450, letGo: 5, trouble: null })
    expect(retention.times).toEqual([{ at: entries[0]?.at, before, readings: 5 }])
    expect(verify(join(gateway.config.data, 'cirewatch.db')).told).toEqual([])
  })

  it('never happens where nothing is set', async () => {
    const gateway = await startGateway({ at: noon, store: 'sqlite' })
    await gateway.publish('pot-mid', { at: noon - 3_000 * dayMs, celsius: 90 })
    await gateway.lead(noon + 3 * minuteMs)
    expect((await keeping(gateway)).held.readings).toBe(1)
    expect(await gateway.gateway.rooms.store.newest('retired', 10)).toEqual([])
  })
})
