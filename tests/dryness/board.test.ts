/** One line of the dip board, on dryings whose true moisture is known. */
import { describe, expect, it } from 'vitest'
import { boardItem, leastDry, memoryOf } from '../../gateway/record/dryness/board.ts'
import { weighedOf } from '../../gateway/record/dryness/weighed.ts'
import { hourMs, minuteMs } from '../../shared/time.ts'
import { dryingScene } from '../held-out/dryings/dryings.ts'
import type { DryingScene } from '../held-out/dryings/scene.ts'
import { heardAt, recipe, weigh } from './kit.ts'

/** Not the frozen seed. */
const seed = 7

function lineAt(scene: DryingScene, now: number, nights = scene.earlier.length) {
  const past = scene.earlier.slice(0, nights).map((run) => heardAt(run, run.air.t.at(-1) as number))
  const tonight = { ...heardAt(scene, now), steps: [] }
  const ask = { recipe, pressurePa: scene.pressurePa, now, isNewest: true, probe: 'p', probes: ['p'] }
  return boardItem(tonight, past, memoryOf(tonight, past, ask), ask)
}

describe('a batch with a weighed test piece', () => {
  it('is not yet dry on its way, is told how much water is left, and when it will be dry', () => {
    const scene = dryingScene(seed, 0, 'steady')
    const dryAt = scene.truth.dryAt as number
    const line = lineAt(scene, scene.dippedAt + 0.85 * (dryAt - scene.dippedAt))
    expect(line).toMatchObject({ verdict: 'not-yet', unknown: null, drySince: null, taught: 3 })
    expect(line.left).toBeGreaterThan(0.05)
    expect(line.left).toBeLessThan(0.4)
    expect(Math.abs((line.forecast?.at ?? 0) - dryAt)).toBeLessThan(1.5 * hourMs)
    expect(line.forecast?.lowAt).toBeLessThan(line.forecast?.at ?? 0)
  })

  it.each(['steady', 'cycles', 'trap', 'door', 'coolingRoom'] as const)(
    'is never called dry before it is: %s',
    (kind) => {
      const scene = dryingScene(seed, 2, kind)
      const dryAt = scene.truth.dryAt as number
      for (const share of [0.2, 0.5, 0.8, 0.95])
        expect(lineAt(scene, scene.dippedAt + share * (dryAt - scene.dippedAt)).verdict).not.toBe('dry')
      const end = lineAt(scene, scene.air.t.at(-1) as number)
      if (end.verdict === 'dry') expect(end.drySince).toBeGreaterThanOrEqual(dryAt)
    },
  )

  it('is called dry some time after it is', () => {
    const scene = dryingScene(seed, 0, 'steady')
    const end = lineAt(scene, scene.air.t.at(-1) as number)
    expect(end.verdict).toBe('dry')
    expect(end.drySince).toBeGreaterThanOrEqual(scene.truth.dryAt as number)
  })
})

describe('soon after the dip', () => {
  it('it is wet, though nobody can say how wet', () => {
    const scene = dryingScene(seed, 0, 'steady')
    expect(lineAt(scene, scene.dippedAt + 45 * minuteMs)).toMatchObject({ verdict: 'not-yet', left: null })
  })
})

describe('nobody can tell', () => {
  it('where the piece was never weighed, though its recovery is shown', () => {
    const scene = dryingScene(seed, 0, 'steady')
    const line = lineAt(scene, scene.dippedAt + 3 * hourMs, 0)
    expect(line).toMatchObject({ verdict: 'cannot-tell', unknown: 'never-weighed', left: null, forecast: null })
    expect(line.recovery).not.toBeNull()
  })

  it('in air too damp for a depression', () => {
    const scene = dryingScene(seed, 8, 'noDepression')
    const line = lineAt(scene, scene.dippedAt + 10 * hourMs)
    expect(line).toMatchObject({ verdict: 'cannot-tell', unknown: 'no-depression' })
  })

  it('of a batch that the test piece was not dipped with, and of one without a piece', () => {
    const scene = dryingScene(seed, 0, 'steady')
    const tonight = { ...heardAt(scene, scene.dippedAt + 3 * hourMs), steps: [] }
    const ask = { recipe, pressurePa: scene.pressurePa, now: tonight.to, isNewest: false, probe: 'p', probes: ['p'] }
    expect(boardItem(tonight, [], null, ask)).toMatchObject({ unknown: 'other-batch', probe: null })
    const bare = { ...tonight, wax: null }
    expect(boardItem(bare, [], null, { ...ask, isNewest: true, probe: null })).toMatchObject({ unknown: 'no-probe' })
  })
})

describe('drying power', () => {
  it('stands beside what it was when people found earlier batches dry', () => {
    const scene = dryingScene(seed, 0, 'steady')
    const [one] = scene.earlier
    if (!one) throw new Error('There is no earlier night.')
    const said = {
      ...heardAt(one, one.air.t.at(-1) as number),
      steps: [{ step: { step: 'indicator', dry: true } as const, at: one.dippedAt + 5 * hourMs, by: 'Asha' }],
    }
    const tonight = { ...heardAt(scene, scene.dippedAt + 2 * hourMs), steps: [] }
    const ask = { recipe, pressurePa: scene.pressurePa, now: tonight.to, isNewest: true, probe: 'p', probes: ['p'] }
    const { power } = boardItem(tonight, [said], null, ask)
    // Two hours at the depression of this room, by the wet bulb of the scene's own physics.
    const from = scene.truth.t.findIndex((t) => t >= scene.dippedAt)
    let drawn = 0
    for (let i = from; (scene.truth.t[i] as number) < tonight.to; i++)
      drawn += ((scene.truth.airC[i] as number) - (scene.truth.wetBulbC[i] as number)) / 30
    expect(Math.abs((power?.soFar ?? 0) - drawn)).toBeLessThan(0.15 * drawn)
    expect(power?.usual?.nights).toBe(1)
    expect(power?.usual?.from).toBeGreaterThan(power?.soFar ?? Infinity)
  })
})

describe('weighings', () => {
  const dip = 0
  const good = [
    weigh(10 * minuteMs, 900),
    weigh(2 * hourMs, 860),
    weigh(4 * hourMs, 830),
    weigh(9 * hourMs, 801),
    weigh(10 * hourMs, 800),
  ]

  it('are shares of the dip’s water', () => {
    expect(weighedOf(good, dip, 'p').map((w) => w.moisture)).toEqual([1, 0.6, 0.3, 0.01, 0])
  })

  it('say nothing where the piece was not weighed wet, not until constant, too seldom, or is another one', () => {
    expect(weighedOf([weigh(hourMs, 890), ...good.slice(1)], dip, 'p')).toEqual([])
    expect(weighedOf(good.slice(0, 4).concat(weigh(10 * hourMs, 780)), dip, 'p')).toEqual([])
    expect(weighedOf(good.slice(1), dip, 'p')).toEqual([])
    expect(
      weighedOf(
        good.map((g) => ({ ...g, step: { ...g.step, probe: 'q' } })),
        dip,
        'p',
      ),
    ).toEqual([])
  })
})

describe('of several test pieces', () => {
  it('the least dry one speaks: a pocket dries long after an open face', () => {
    const of = (verdict: 'dry' | 'not-yet' | 'cannot-tell', left: number | null = null) => ({
      verdict,
      left,
      forecast: null,
    })
    expect(leastDry([of('dry'), of('not-yet', 0.2), of('not-yet', 0.5)])?.left).toBe(0.5)
    expect(leastDry([of('dry'), of('cannot-tell')])?.verdict).toBe('cannot-tell')
    expect(leastDry([of('dry'), of('dry')])?.verdict).toBe('dry')
  })
})
