/** Two hundred kill -9 while hours are sealed and opened again. */
import { expect, it } from 'vitest'
import { sealingStorm } from '../storm/sealing-storm.ts'
import { seedOf } from '../storm/seed.ts'

const kills = 200

it(`0 readings lost and 0 twice over ${kills} kill -9 while hours were sealed and opened again`, async () => {
  const storm = await sealingStorm(kills, seedOf())
  console.log(storm.told)
  expect(storm.complaints).toEqual([])
  expect(storm.inSealing).toBeGreaterThan(kills / 10)
})
