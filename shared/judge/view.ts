/** Views: what the judge holds, in the shape in which the contract speaks of it. */
import { type Finding, fireClass, type SeriesView, type StationView, type Tier } from '../contract/index.ts'
import { undeclaredOf } from './burnout/find.ts'
import { potView } from './pot.ts'
import type { House, StationState } from './state.ts'

const weight: Record<Tier, number> = { 'act-now': 0, 'this-shift': 1, tomorrow: 2 }

function rank(finding: Finding): number {
  return (fireClass.has(finding.kind) ? 0 : 10) + (finding.tier ? weight[finding.tier] : 5)
}

/** Every finding that stands in a station, worst first. */
export function standingFindings(station: StationState): Finding[] {
  const all = [
    ...station.series.flatMap((s) => [s.blind, ...s.conditions.map((c) => c.finding)]),
    ...station.runs.flatMap((r) => r.conditions.map((c) => c.finding)),
    ...station.instruments.flatMap((i) => [i.quiet, i.fault, i.clock, i.due]),
    ...station.doubts.map((d) => d.finding),
    ...(station.pot?.care.findings ?? []),
    station.find?.finding ?? null,
  ]
  return all.filter((f): f is Finding => f !== null).sort((a, b) => rank(a) - rank(b) || a.since - b.since)
}

export function stationView(house: House, index: number): StationView {
  const rules = house.rules.stations[index]
  const station = house.stations[index]
  if (!rules || !station) throw new Error(`There is no station ${index} in this house.`)
  const pot = potView(house, index)
  const undeclared = undeclaredOf(station)
  return {
    ...(pot && { pot }),
    ...(undeclared.length > 0 && { undeclared }),
    station: rules.station.id,
    findings: standingFindings(station),
    runs: station.runs.map((r) => r.run),
    unseen: station.instruments.every((i) => i.quiet !== null || i.lastAt === null),
  }
}

export function seriesViews(house: House): SeriesView[] {
  return house.rules.stations.flatMap((rules, s) =>
    rules.series.flatMap((series, i): SeriesView[] => {
      const state = house.stations[s]?.series[i]
      if (!state || state.frontier === null) return []
      return [
        {
          series: series.series,
          value: state.value,
          quality: state.quality,
          measuredAt: state.frontier,
          arrivedAt: state.arrivedAt,
          ...(state.noAnswer === null ? {} : { noAnswer: state.noAnswer }),
        },
      ]
    }),
  )
}
