/** The promise on held-out scenes, held against a small sample with a seed of its own, so that it cannot rot unseen. */
import { describe, expect, it } from 'vitest'
import { doubtKinds } from '../../shared/contract/index.ts'
import { accusationsIn, falseIn, namedAs, withTwin } from '../bench/kit/lies.ts'
import { healthyScenes, lieScenes } from '../held-out/lies/scene.ts'

const seed = 4_711
const scenesOfAKind = 4
const healthyMonths = 6

describe('on scenes written by somebody who had not seen the examiner', () => {
  it('at least four lies in five are called by their name, with evidence', () => {
    const missed: string[] = []
    for (const kind of doubtKinds)
      for (const scene of lieScenes(kind, scenesOfAKind, seed)) {
        const liar = scene.truth.find((one) => one.kind === kind)?.instrument
        const lie = scene.truth.filter((one) => one.kind === kind && one.instrument === liar)
        const found = namedAs(withTwin(scene, lie), accusationsIn(scene))
        if (found?.kind !== kind || found.evidence === 0) missed.push(`${scene.id}: ${found?.kind ?? 'none'}`)
      }
    const all = doubtKinds.length * scenesOfAKind
    expect((all - missed.length) / all, missed.join(', ')).toBeGreaterThanOrEqual(0.8)
  }, 120_000)

  it('honest instruments are accused less than three times in two months', () => {
    let months = 0
    const wrong: string[] = []
    for (const scene of healthyScenes(healthyMonths, seed)) {
      months += scene.months
      for (const one of falseIn(scene, accusationsIn(scene)))
        wrong.push(`${scene.id}: ${one.kind} of ${one.instrument}`)
    }
    expect(months).toBeGreaterThanOrEqual(healthyMonths)
    expect(wrong.length / months, wrong.join(', ')).toBeLessThanOrEqual(1.5)
  }, 120_000)
})
