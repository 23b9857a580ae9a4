/** The dip board over HTTP: what people say of a drying, and what the board makes of it. */
import { describe, expect, it } from 'vitest'
import type { DipBoard, Problem } from '../../shared/contract/index.ts'
import { hourMs, minuteMs } from '../../shared/time.ts'
import { startGateway } from '../helpers/gateway.ts'
import { foundryDocument, noon } from '../night/material.ts'

async function house() {
  const g = await startGateway({ foundry: foundryDocument, at: noon, store: 'sqlite' })
  const say = async (hours: number) => {
    const now = g.clock.now()
    const from = now - hours * hourMs
    const [air, wax] = [[], []] as [object[], object[]]
    for (let t = from; t < now; t += minuteMs) {
      air.push({ at: t, celsius: 22, relativeHumidity: 45 })
      wax.push({ at: t, celsius: 22 })
    }
    await g.publish('air', air)
    await g.publish('wax', wax)
  }
  await g.lead(noon + 4 * hourMs)
  await say(4)
  const started = await g.ask<{ id: string }>('/api/v1/runs', {
    kind: 'drying',
    station: 'D',
    recipe: 'backup',
    piece: 'Heron, wing',
    by: 'Asha',
  })
  return { ...g, run: started.body.id, say }
}

describe('the dip board', () => {
  it('lists what dries with what people said of it, and says that nobody can tell of a piece that was never weighed', async () => {
    const { ask, run, lead, say } = await house()
    await lead(noon + 6 * hourMs)
    await say(2)
    const steps = `/api/v1/runs/${run}/steps`
    expect((await ask(steps, { step: 'weigh', grams: 912.5, probe: 'wax', by: 'Asha' })).status).toBe(200)
    expect((await ask(steps, { step: 'indicator', dry: false, by: 'Joan' })).status).toBe(200)
    const { status, body } = await ask<DipBoard>('/api/v1/dip-board')
    expect(status).toBe(200)
    expect(body.items).toHaveLength(1)
    expect(body.items[0]).toMatchObject({
      run,
      station: 'D',
      piece: 'Heron, wing',
      verdict: 'cannot-tell',
      unknown: 'never-weighed',
      probe: 'wax',
      weighings: [{ grams: 912.5, probe: 'wax', by: 'Asha' }],
      indicator: { dry: false, by: 'Joan' },
    })
    // 22 °C and 45 %: 7.3 °C of depression (ASHRAE Fundamentals 2017, ch. 1, by the product's own checked wet bulb), for two hours.
    expect(body.items[0]?.power?.soFar).toBeGreaterThan(13)
    expect(body.items[0]?.power?.soFar).toBeLessThan(15.5)
    expect(body.items[0]?.recovery).toBeGreaterThan(0.95)
  })

  it('forgets a batch whose drying is closed', async () => {
    const { ask, run } = await house()
    await ask(`/api/v1/runs/${run}/close`, { reason: 'dry', by: 'Asha' })
    expect((await ask<DipBoard>('/api/v1/dip-board')).body.items).toEqual([])
  })

  it('refuses in one sentence what cannot be', async () => {
    const { ask, run } = await house()
    const steps = `/api/v1/runs/${run}/steps`
    for (const [body, sentence] of [
      [{ step: 'weigh', by: 'Asha' }, /needs its `grams`/],
      [{ step: 'weigh', grams: 900, probe: 'air', by: 'Asha' }, /"air" is no test piece of this room; it has wax\./],
      [{ step: 'indicator', by: 'Asha' }, /needs `dry`/],
      [{ step: 'weigh', grams: -3, by: 'Asha' }, /grams/],
    ] as const) {
      const { status, body: problem } = await ask<Problem>(steps, body)
      expect([status >= 400 && status < 500, problem.detail]).toEqual([true, expect.stringMatching(sentence)])
    }
  })
})
