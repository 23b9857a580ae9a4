/** Dryness of a coat from a probe in the wax under it: recovery, what it meant on weighed nights, and when it will be dry. */
export { courseOfDrying, type DryingCourse, type Heard } from './course.ts'
export { type DryAsk, type DryForecast, Dryness } from './dryness.ts'
export { learnPiece, type PastDrying, type PieceMemory } from './memory.ts'
export { drivenOf, type Weighed } from './moisture.ts'
export type { ProbesKnown } from './recovery.ts'
