/** A burnout that nobody said, over real sockets: noticed, said while it goes on or afterwards, and recorded as if it had been said in time. */
import { describe, expect, it } from 'vitest'
import type { Alarm, BurnoutView, Finding, Problem, Run, StationView, Welcome } from '../../shared/contract/index.ts'
import type { RunRecord } from '../../gateway/record/run-record.ts'
import { smallFoundry, startGateway, type TestGateway } from '../helpers/gateway.ts'

const noon = Date.UTC(2026, 2, 1, 12)
const minute = 60_000
const begun = noon + 60 * minute

interface Shown {
  id: string
  open: Run | null
}

/** An hour at rest, up at 60 °C/h to 150 °C, an hour there, and down. */
function kilnC(m: number): number {
  if (m <= 60) return 20
  if (m <= 270) return Math.min(150, 20 + (m - 60))
  return Math.max(20, 150 - 2 * (m - 270))
}

async function burn(gateway: TestGateway, fromMinute: number, toMinute: number): Promise<void> {
  for (let s = fromMinute * 60; s < toMinute * 60; s += 20) {
    await gateway.lead(noon + s * 1_000)
    await gateway.publish('kiln-air', { at: noon + s * 1_000, celsius: kilnC(s / 60) })
  }
}

const say = (gateway: TestGateway, times: object) =>
  gateway.ask<Shown & Problem>('/api/v1/runs', {
    kind: 'burnout',
    station: 'kiln',
    recipe: 'block',
    by: 'Ada',
    ...times,
  })

async function kilnView(gateway: TestGateway): Promise<StationView | undefined> {
  const live = await gateway.live()
  const welcome = (await live.next((m) => m.is === 'welcome')) as Welcome
  live.socket.close()
  return welcome.stations.find((s) => s.station === 'kiln')
}

/** Who said it when is not judged, and each run has a name of its own. */
async function judged(gateway: TestGateway, id: string): Promise<string> {
  const { status, body } = await gateway.ask<RunRecord>(`/api/v1/runs/${id}/record`)
  expect(status).toBe(200)
  const { closed: _closed, declared: _declared, ...run } = body.run
  return JSON.stringify({ ...body, run }).replaceAll(id, 'this run')
}

describe('a burnout that nobody said', () => {
  it('is told, taken over from its beginning with one request, and leaves the record of one that was said in time', async () => {
    const inTime = await startGateway({ foundry: smallFoundry(), at: noon })
    await burn(inTime, 0, 60)
    await inTime.lead(begun - 1_000)
    const { body: lived } = await say(inTime, { startedAt: begun })
    await burn(inTime, 60, 300)

    const late = await startGateway({ foundry: smallFoundry(), at: noon })
    await burn(late, 0, 200)
    const { body: found } = await late.ask<{ items: Finding[] }>('/api/v1/findings?station=kiln')
    expect(found.items.map((f) => f.kind)).toEqual(['burnout-found'])
    expect(Math.abs((found.items[0]?.since ?? 0) - begun)).toBeLessThan(2 * minute)
    expect((await kilnView(late))?.undeclared).toMatchObject([{ from: found.items[0]?.since, to: null, fromC: 20 }])

    const { status, body: taken } = await say(late, { startedAt: begun })
    expect(status).toBe(201)
    // Within 10 °C of 150 °C once its line is there: from then on the hold is credited.
    const reached = begun + 130 * minute
    expect(taken.open?.progress).toMatchObject({
      segment: 1,
      began: [begun, reached],
      creditedMs: 10 * minute - 20_000,
    })
    expect((await kilnView(late))?.undeclared).toBeUndefined()
    const { body: alarms } = await late.ask<{ items: Alarm[] }>('/api/v1/alarms')
    expect(alarms.items.filter((a) => a.kind === 'burnout-found')).toEqual([])

    await burn(late, 200, 300)
    const shown = async (gateway: TestGateway, id: string) =>
      (await gateway.ask<Shown>(`/api/v1/runs/${id}`)).body.open?.progress as BurnoutView
    expect(await shown(late, taken.id)).toEqual(await shown(inTime, lived.id))
    expect(await judged(late, taken.id)).toBe(await judged(inTime, lived.id))
  }, 120_000)

  it('can be declared when it is over, waits for that, and leaves the same record', async () => {
    const gateway = await startGateway({ foundry: smallFoundry(), at: noon })
    await burn(gateway, 0, 400)
    const view = await kilnView(gateway)
    expect(view?.findings).toEqual([])
    const [waits] = view?.undeclared ?? []
    expect(waits).toMatchObject({ fromC: 20 })
    expect(Math.abs((waits?.from ?? 0) - begun)).toBeLessThan(2 * minute)
    expect(waits?.to).toBeGreaterThan(noon + 270 * minute)

    const { status, body } = await say(gateway, { startedAt: begun, endedAt: noon + 300 * minute - 20_000 })
    expect(status).toBe(201)
    expect((await kilnView(gateway))?.undeclared).toBeUndefined()

    const inTime = await startGateway({ foundry: smallFoundry(), at: noon })
    await burn(inTime, 0, 60)
    await inTime.lead(begun - 1_000)
    const { body: lived } = await say(inTime, { startedAt: begun })
    await burn(inTime, 60, 300)
    await inTime.ask(`/api/v1/runs/${lived.id}/close`, { by: 'Ada', reason: 'through' })
    expect(await judged(gateway, body.id)).toBe(await judged(inTime, lived.id))
  }, 120_000)

  it('cannot be said to go on from before what is held, and the refusal says what can be done', async () => {
    const gateway = await startGateway({ foundry: smallFoundry(), at: noon })
    await burn(gateway, 0, 200)
    const { status, body } = await say(gateway, { startedAt: noon - 24 * 60 * minute })
    expect([status, body.code]).toEqual([422, 'not-valid'])
    expect(body.detail).toContain('must say when it ended')
    expect((await say(gateway, { kind: 'drying', recipe: 'backup', startedAt: begun })).body.code).toBe('not-valid')
  }, 60_000)
})
