/** What the judge holds of a pot: what its forecast knows of it, and what care remembers. Plain data. */
import { type CareState, newCare } from './care/state.ts'
import { type Course, newCourse } from './forecast/course.ts'

export interface PotState {
  course: Course
  care: CareState
}

export const newPot: PotState = { course: newCourse, care: newCare }
