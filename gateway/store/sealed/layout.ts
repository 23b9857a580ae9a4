/** What writer and reader of a course and of an arrival must agree on. */

export const courseVersion = 1
export const arrivalVersion = 1

/** Readings that are packed, checked and unpacked together. A column holds no more. */
export const chunkShift = 7
export const chunkReadings = 2 ** chunkShift

/** Flags of a course. */
export const someNotGood = 1

/** Flags of an arrival: arrivals told as they are, not as what they lie behind the readings; reasons; claims; claims told as they are. */
export const arrivedAbsolute = 1
export const hasReasons = 2
export const hasClaims = 4
export const claimedAbsolute = 8

export function chunksOf(count: number): number {
  return (count + chunkReadings - 1) >> chunkShift
}
