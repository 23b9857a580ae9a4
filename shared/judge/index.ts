/** The one door of the judge. */
export { judge, emptyHouse } from './judge.ts'
export { byArrival, byMeasurement, type Replayed } from './replay.ts'
export { recipeOf, rulesOf, type Rules, type SeriesRules, type StationRules } from './rules.ts'
export { freeze, thaw } from './snapshot.ts'
export { stateShape, type Changes, type House } from './state.ts'
export { seriesViews, standingFindings, stationView } from './view.ts'
export { nextDue } from './watch.ts'
