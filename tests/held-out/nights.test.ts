/** Held-out nights of a dry room: the same seed tells the same night, in rising time, and what happened lies within it. */
import { describe, expect, it } from 'vitest'
import { eventKinds, frozenSeed, nightScene } from './nights/scene.ts'

describe.each([...eventKinds, 'quiet'] as const)('a night of %s', (kind) => {
  it('is the same again, rises in time, is finite, and holds its event', () => {
    const { scene } = nightScene(kind, frozenSeed + 1, 0)
    expect(nightScene(kind, frozenSeed + 1, 0).scene).toEqual(scene)
    for (const { t, v } of Object.values(scene.tracks)) {
      expect(t.every((at, i) => i === 0 || at > (t[i - 1] as number))).toBe(true)
      expect(v.every(Number.isFinite)).toBe(true)
    }
    if (kind === 'quiet') expect(scene.truth).toBeNull()
    else expect(scene.truth?.from).toBeGreaterThan(scene.from)
  })
})
