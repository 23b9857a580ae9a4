/** One passage through a weather, and what must be true behind it. */
import { expect } from 'vitest'
import type { Store } from '../../gateway/store/store.ts'
import { findingsTwoWays, journalOf, misheard, notOnce, queuesWithinLimits } from './checkers.ts'
import { Storm, type Weather } from './weather.ts'

/** Seconds of the foundry's time. */
const seconds = 900

export async function weathered(store: Store, seed: number, weather: Weather): Promise<Storm> {
  const one = new Storm(store, seed, { ...weather })
  await one.begin()
  for (let s = 0; s < seconds; s++) await one.second()
  await one.clear()
  return one
}

export async function check(one: Storm): Promise<void> {
  const journal = await journalOf(one.store)
  expect(one.acknowledged.length).toBeGreaterThan(300)
  expect(notOnce(one.acknowledged, journal)).toEqual([])
  const { kept, replayed } = await findingsTwoWays(one.store, journal)
  expect(kept).toEqual(replayed)
  expect(kept.length).toBeGreaterThan(0)
  expect(misheard(one.ears, journal)).toEqual([])
  expect(queuesWithinLimits(one)).toBe(true)
}
