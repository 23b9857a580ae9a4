/** kill -9 while hours are sealed, opened again for what came late, and sealed again. Two hundred of them are in the long storms. */
import { expect, it } from 'vitest'
import { sealingStorm } from './sealing-storm.ts'
import { seedOf } from './seed.ts'

const kills = 40

it(`0 readings lost and 0 twice over ${kills} kill -9 while hours were sealed and opened again`, async () => {
  const storm = await sealingStorm(kills, seedOf())
  console.log(storm.told)
  expect(storm.complaints).toEqual([])
  expect(storm.acknowledged).toBeGreaterThan(kills * 60)
  // The storm was one: kills fell into sealings, and many more blocks were written than hours passed.
  expect(storm.inSealing).toBeGreaterThan(kills / 10)
  expect(storm.blocks).toBeGreaterThan(kills)
}, 150_000)
