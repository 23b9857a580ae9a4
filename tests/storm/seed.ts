/** The seed of a storm: the one that CIREWATCH_TEST_SEED names, or the house's own, so that a failing storm can be had again. */

const standing = 20_260_301

export function seedOf(): number {
  const said = process.env.CIREWATCH_TEST_SEED
  if (said === undefined || said === '') return standing
  const seed = Number(said)
  if (!Number.isSafeInteger(seed)) throw new Error(`CIREWATCH_TEST_SEED must be a whole number; it is "${said}".`)
  return seed
}
