/** The one door of the judge. */
export { judge, emptyHouse } from './judge.ts'
export { heldSince } from './burnout/find.ts'
export { checkDueAt, lastCheckAt } from './checks.ts'
export { interpretationOf, type Meaning, meaningOf, reflectedUsualC, sceneOf } from './meaning.ts'
export {
  courseOfDrying,
  type DryAsk,
  type DryForecast,
  Dryness,
  drivenOf,
  type DryingCourse,
  type Heard,
  learnPiece,
  type PastDrying,
  type PieceMemory,
  type ProbesKnown,
  type Weighed,
} from './dryness/index.ts'
export { causesOf, minuteMeans, minutesBetween, type RoomCourse, type Spell } from './causes/index.ts'
export { byArrival, byMeasurement, type Replayed } from './replay.ts'
export { recipeOf, rulesOf, type Rules, type SeriesRules, type StationRules } from './rules.ts'
export { freeze, thaw } from './snapshot.ts'
export { surenessOf } from './sureness.ts'
export { stateShape, type Changes, type House } from './state.ts'
export { seriesViews, standingFindings, stationView } from './view.ts'
export { nextDue } from './watch.ts'
