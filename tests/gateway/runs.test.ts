/** Runs as people live them: a coating at the bench, a night in the dry room, a burnout; and the record that is left. */
import { describe, expect, it } from 'vitest'
import type {
  BurnoutView,
  CoatingView,
  DryingView,
  Finding,
  Problem,
  Run,
  RunStep,
} from '../../shared/contract/index.ts'
import type { RunRecord } from '../../gateway/record/run-record.ts'
import { smallFoundry, startGateway, type TestGateway } from '../helpers/gateway.ts'

const noon = Date.UTC(2026, 2, 1, 12)
const minute = 60_000

interface Shown {
  id: string
  open: Run | null
  steps: { step: RunStep; by: string }[]
  closed: { reason: string } | null
}

async function start(gateway: TestGateway, declaration: object) {
  const { status, body } = await gateway.ask<Shown>('/api/v1/runs', { by: 'Ada', ...declaration })
  expect(status).toBe(201)
  return body
}

const coating = { kind: 'coating', station: 'pot', recipe: 'figure', piece: 'Horse' }

async function wax(gateway: TestGateway, celsius: number) {
  await gateway.lead(gateway.clock.now() + 5_000)
  await gateway.publish('pot-mid', { celsius })
}

describe('a coating', () => {
  async function begun() {
    const gateway = await startGateway({ foundry: smallFoundry(), at: noon })
    await wax(gateway, 107)
    const { id } = await start(gateway, coating)
    const mark = (coat: string) =>
      gateway.ask<Shown & Problem>(`/api/v1/runs/${id}/steps`, { step: 'coat', coat, by: 'Ada' })
    const undo = () => gateway.ask<Shown & Problem>(`/api/v1/runs/${id}/undo`, { by: 'Ada' })
    const look = async () => {
      const { body } = await gateway.ask<Shown>(`/api/v1/runs/${id}`)
      return { ...body, view: body.open?.progress as CoatingView }
    }
    return { gateway, id, mark, undo, look }
  }

  it('says which coat may go on now, and stamps each with its temperature', async () => {
    const { gateway, mark, look } = await begun()
    await wax(gateway, 106)
    expect((await look()).view).toMatchObject({ open: 'coat-1', next: 'coat-1', temperatureC: 106 })
    await mark('coat-1')
    await wax(gateway, 95)
    expect((await look()).view).toMatchObject({
      done: [{ coat: 'coat-1', temperatureC: 106, inWindow: true, by: 'Ada' }],
      open: 'coat-2',
      next: 'coat-2',
    })
  })

  it('a button pressed twice with a waxy hand marks once, and one undo takes it back', async () => {
    const { gateway, mark, undo, look } = await begun()
    await wax(gateway, 106)
    await mark('coat-1')
    await mark('coat-1')
    const once = await look()
    expect(once.view.done).toHaveLength(1)
    expect(once.steps).toHaveLength(1)
    await undo()
    const back = await look()
    expect(back.view.done).toEqual([])
    expect(back.steps).toEqual([])
    expect((await undo()).body.code).toBe('nothing-to-undo')
  })

  it('undo takes back the last coat and leaves what was noted', async () => {
    const { gateway, id, mark, undo, look } = await begun()
    await wax(gateway, 106)
    await mark('coat-1')
    await gateway.ask(`/api/v1/runs/${id}/steps`, { step: 'note', text: 'A bubble at the ear', by: 'Ada' })
    await undo()
    const { view, steps } = await look()
    expect(view.done).toEqual([])
    expect(steps.map((s) => s.step.step)).toEqual(['note'])
    expect((await undo()).body.code).toBe('nothing-to-undo')
  })

  it('a coat outside its window is told at once, and no alarm cries about it', async () => {
    const { gateway, mark } = await begun()
    await wax(gateway, 88)
    await mark('coat-2')
    const { body } = await gateway.ask<{ items: Finding[] }>('/api/v1/findings?station=pot')
    expect(body.items).toMatchObject([
      { kind: 'coat-outside-window', facts: { coat: 'coat-2', valueC: 88, fromC: 93, toC: 97 } },
    ])
    expect(
      (await gateway.ask<{ items: unknown[] }>('/api/v1/alarms')).body.items.filter(
        (a) => (a as Finding).kind === 'coat-outside-window',
      ),
    ).toEqual([])
  })

  it('a coat that the recipe does not have, a closed run and a run that never was are told in a sentence', async () => {
    const { gateway, id, mark } = await begun()
    expect((await mark('coat-9')).body).toMatchObject({
      code: 'not-valid',
      detail: expect.stringContaining('coat-1, coat-2, slush') as string,
    })
    await gateway.ask(`/api/v1/runs/${id}/close`, { by: 'Ada', reason: 'poured' })
    expect((await mark('coat-2')).body).toMatchObject({ status: 409, code: 'run-closed' })
    expect((await gateway.ask('/api/v1/runs/run-0-0')).status).toBe(404)
    expect((await gateway.ask<Problem>('/api/v1/runs', { ...coating, recipe: 'backup' })).body.code).toBe('not-valid')
    expect((await gateway.ask<Problem>('/api/v1/runs', { ...coating, station: 'cellar' })).body.code).toBe('not-found')
    expect((await gateway.ask<Problem>('/api/v1/runs', { ...coating, startedAt: noon + 86_400_000 })).body.code).toBe(
      'not-valid',
    )
  })

  it('two patterns started at the same moment are two runs', async () => {
    const gateway = await startGateway({ foundry: smallFoundry(), at: noon })
    const { answer } = gateway.gateway.rooms
    const declaration = { kind: 'coating', station: 'pot', recipe: 'figure' } as const
    const both = await Promise.all(['Horse', 'Rider'].map((piece) => answer.startRun({ ...declaration, piece }, 'Ada')))
    expect(new Set(both.map((b) => b.id)).size).toBe(2)
    const { body } = await gateway.ask<{ items: Shown[] }>('/api/v1/runs')
    expect(body.items.map((r) => r.open?.piece).sort()).toEqual(['Horse', 'Rider'])
  })
})

/** Temperature of an invented night, by minutes since it began: in band but for twenty minutes from 03:10 on. */
const roomC = (m: number) => (m >= 190 && m < 210 ? 25 : 22)

async function night(gateway: TestGateway, minutes: number): Promise<void> {
  for (let s = 0; s <= minutes * 60; s += 30) {
    await gateway.lead(noon + s * 1_000)
    await gateway.publish('room-air', { at: noon + s * 1_000, celsius: roomC(s / 60), relativeHumidity: 45 })
  }
}

describe('a drying', () => {
  it('counts what was seen and what was in band, and tells the hour that was not', async () => {
    const gateway = await startGateway({ foundry: smallFoundry(), at: noon })
    const { id } = await start(gateway, { kind: 'drying', station: 'room', recipe: 'backup' })
    await night(gateway, 240)
    const { body } = await gateway.ask<Shown>(`/api/v1/runs/${id}`)
    const view = body.open?.progress as DryingView
    expect(view.seenMs).toBe(240 * minute)
    // Up to 190 min in band; crossings of 23.7 °C lie (23.7 − 22)/3 × 30 s after 189.5 min and as long before 210 min.
    const part = ((23.7 - 22) / 3) * 30_000
    expect(view.inBandMs).toBeCloseTo(189.5 * minute + part + (30 * minute + part), 3)
    const { body: found } = await gateway.ask<{ items: Finding[] }>('/api/v1/findings?station=room')
    const outside = found.items.filter((f) => f.kind === 'outside-recipe-band')
    expect(outside).toMatchObject([{ since: noon + 190 * minute, clearedAt: noon + 210 * minute }])
  })
})

/** What the kiln did, by minutes: up at 60 °C/h with twenty minutes' delay on the way, held, and down. */
function kilnC(m: number): number {
  if (m <= 60) return 20 + m
  if (m <= 80) return 80
  if (m <= 150) return 80 + (m - 80)
  if (m <= 230) return 150
  return Math.max(95, 150 - (m - 230) * (50 / 60))
}

async function burn(gateway: TestGateway, fromMinute: number, toMinute: number): Promise<void> {
  for (let s = fromMinute * 60; s <= toMinute * 60; s += 10) {
    await gateway.lead(noon + s * 1_000)
    await gateway.publish('kiln-air', { at: noon + s * 1_000, celsius: kilnC(s / 60) })
  }
}

const burnout = { kind: 'burnout', station: 'kiln', recipe: 'block', piece: 'Load 1' }

describe('a burnout', () => {
  it('is followed from ramp to hold to ramp, held up by a slow kiln, and told when it leaves its line', async () => {
    const gateway = await startGateway({ foundry: smallFoundry(), at: noon })
    const { id } = await start(gateway, burnout)
    const view = async () => (await gateway.ask<Shown>(`/api/v1/runs/${id}`)).body.open?.progress as BurnoutView
    await burn(gateway, 0, 40)
    expect(await view()).toMatchObject({ segment: 0, temperatureC: 60 })
    expect((await view()).targetC).toBeCloseTo(60, 6)
    await burn(gateway, 41, 130)
    expect((await view()).segment).toBe(0)
    expect((await view()).deviationC).toBeCloseTo(-20, 6)
    // Within 10 °C of 150 °C at minute 140: from there the hold is credited.
    await burn(gateway, 131, 199)
    expect(await view()).toMatchObject({ segment: 1, targetC: 150, creditedMs: 59 * minute })
    await burn(gateway, 200, 201)
    expect(await view()).toMatchObject({ segment: 2 })
    await burn(gateway, 202, 300)
    expect((await view()).segment).toBe(3)
    const { body } = await gateway.ask<{ items: Finding[] }>('/api/v1/findings?station=kiln')
    expect(body.items.map((f) => f.kind)).toContain('off-recipe')
  }, 120_000)

  it('declared afterwards leaves the same judged record, byte for byte, as the one that was lived', async () => {
    const gateway = await startGateway({ foundry: smallFoundry(), at: noon })
    const lived = await start(gateway, burnout)
    await burn(gateway, 0, 300)
    await gateway.ask(`/api/v1/runs/${lived.id}/close`, { by: 'Ada', reason: 'through' })
    const declared = await start(gateway, { ...burnout, startedAt: noon, endedAt: noon + 300 * minute })
    const judged = async (id: string) => {
      const { status, body } = await gateway.ask<RunRecord>(`/api/v1/runs/${id}/record`)
      expect(status).toBe(200)
      // Who said it when is not judged, and each run has a name of its own.
      const { closed: _closed, declared: _declared, ...run } = body.run
      return JSON.stringify({ ...body, run }).replaceAll(id, 'this run')
    }
    const record = await judged(lived.id)
    expect(JSON.parse(record)).toMatchObject({ from: noon, to: noon + 300 * minute, run: { progress: { segment: 3 } } })
    expect((JSON.parse(record) as RunRecord).findings.map((f) => f.kind)).toContain('off-recipe')
    expect(await judged(declared.id)).toBe(record)
  }, 120_000)
})

describe('what a person says of a burnout', () => {
  const foundry = () => {
    const small = smallFoundry()
    const kiln = small.stations.find((s) => s.kind === 'kiln')
    if (!kiln) throw new Error('The small foundry has lost its kiln.')
    const probe = (id: string, place: 'kiln-air' | 'kiln-load') => ({
      id,
      name: id,
      kind: 'thermocouple' as const,
      station: kiln.id,
      intervalS: 10,
      place,
    })
    return {
      kiln: kiln.id,
      foundry: {
        ...small,
        instruments: [
          ...small.instruments,
          probe('air-x', 'kiln-air'),
          probe('load-x', 'kiln-load'),
          probe('load-y', 'kiln-load'),
        ],
        recipes: [
          ...small.recipes,
          {
            kind: 'burnout' as const,
            id: 'soak',
            name: 'Soak',
            revision: 1,
            startC: 700,
            segments: [{ kind: 'hold' as const, minutes: 60, toleranceC: 10 }],
            governing: ['air-x', 'load-x'],
            hands: [{ id: 'vent', name: 'Open the vent', what: 'vent' as const, segment: 0 }],
          },
        ],
      },
    }
  }

  it('is a step that the recipe has, a load probe for a load probe, a pour after a pull; all else is refused in one sentence', async () => {
    const { kiln, foundry: document } = foundry()
    const gateway = await startGateway({ foundry: document, at: noon })
    const { id } = await start(gateway, { kind: 'burnout', station: kiln, recipe: 'soak' })
    for (let i = 0; i < 12; i++) {
      await gateway.lead(gateway.clock.now() + 10_000)
      for (const [probe, celsius] of [
        ['air-x', 702],
        ['load-x', 695],
        ['load-y', 696],
      ] as const)
        await gateway.publish(probe, { celsius })
    }
    const say = (step: object) => gateway.ask<Shown & Problem>(`/api/v1/runs/${id}/steps`, { ...step, by: 'Bo' })
    expect((await say({ step: 'hand', hand: 'dance' })).body.detail).toContain('it has vent')
    expect((await say({ step: 'pour' })).body.detail).toContain('say `pull` first')
    expect((await say({ step: 'appoint', instead: 'load-x', probe: 'air-x' })).body.detail).toContain(
      'Air never stands in for load',
    )
    expect((await say({ step: 'appoint', instead: 'load-y', probe: 'load-x' })).body.detail).toContain(
      'does not govern now',
    )
    expect((await say({ step: 'appoint', instead: 'load-x', probe: 'load-y' })).status).toBe(200)
    expect((await say({ step: 'hand', hand: 'vent' })).status).toBe(200)
    expect((await say({ step: 'pull' })).status).toBe(200)
    expect((await say({ step: 'pour' })).status).toBe(200)
    const { body } = await gateway.ask<Shown>(`/api/v1/runs/${id}`)
    const view = body.open?.progress as BurnoutView
    expect(view.governing).toEqual(['air-x', 'load-y'])
    expect(view.hands).toMatchObject([{ id: 'vent', done: { by: 'Bo' } }])
    expect(view.pulledAt).not.toBeNull()
    expect(view.pouredAt).not.toBeNull()
    expect(view.creditedMs).toBeGreaterThanOrEqual(100_000)

    await gateway.lead(gateway.clock.now() + 1_000)
    const { body: record } = await gateway.ask<RunRecord>(`/api/v1/runs/${id}/record`)
    expect(record.holds?.[0]?.creditedMs).toBe(view.creditedMs)
    expect(record.holds?.[0]?.stretches.at(-1)).toMatchObject({ refused: null, probe: null })
  })
})
