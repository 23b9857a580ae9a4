/** Many storms, each with a seed of its own: what sixteen minutes of weather did not find, a night of it may. */
import { it } from 'vitest'
import { memoryStore } from '../../gateway/store/memory.ts'
import { check, weathered } from '../storm/passage.ts'
import { seedOf } from '../storm/seed.ts'
import { storm } from '../storm/weather.ts'

const storms = 60

it(`every promise holds after ${storms} storms`, async () => {
  for (let nth = 0; nth < storms; nth++) {
    const seed = seedOf() + 1_000 + nth
    const one = await weathered(memoryStore(), seed, storm)
    try {
      await check(one)
    } catch (error) {
      throw new Error(`The storm of seed ${seed} broke a promise.`, { cause: error })
    }
    await one.end()
  }
})
