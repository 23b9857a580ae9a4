/** A pair from firing to firing: one of them ages, or was moved. The cause is not claimed. */
import type { Doubt, Evidence } from '../../contract/index.ts'
import type { Seen } from './exam.ts'
import { median, spreadOf, trendOf } from './robust.ts'
import type { ExaminedStation } from './station.ts'
import type { Look } from './suspicion.ts'

/** A jump: beyond what another load or another corner of the kiln does from firing to firing (some degrees, common practice, no source). */
const jumpC = 6
const jumpShare = 0.009
const jumpSpreads = 5
const fewFirings = 5
const fewest = 2
const fewTimes = 1.3
const fewestTimes = 1.6
const spreadMinC = 1.1
const firingsCompared = 8
/** A trend: from so many firings, so much in all, several times what is left unexplained, and not one single step. */
const firingsMin = 5
const firingsMax = 24
const trendC = 2
const trendOfRest = 3.2
/** What a pair differs by from firing to firing without any fault, at least, °C. */
const restMinC = 0.7
const slopeC = 0.06
const oneStepMax = 0.65
/** Only what stood at 500 °C and more is a point of a trend, carried to this temperature, °C. */
const hotBand = 5
const carriedToC = 750

const samePair = (p: Seen, s: Seen): boolean => p.a === s.a && p.b === s.b

function jumpOf(
  past: readonly Seen[],
  now: Seen,
): { jump: number; spread: number; prior: number; firings: number } | null {
  const before = past
    .filter((p) => samePair(p, now) && p.band === now.band && p.firing < now.firing)
    .slice(-firingsCompared)
  if (before.length === 0) return null
  const values = before.map((p) => p.difference)
  const prior = median(values.slice(-4))
  const steps = values.slice(1).map((v, k) => v - (values[k] as number))
  return {
    jump: now.difference - prior,
    spread: Math.max(spreadMinC, spreadOf(values), steps.length === 0 ? 0 : median(steps.map(Math.abs))),
    prior,
    firings: before.length,
  }
}

/** How one of the pair jumped against the load, where there is one and it stood still too. */
function againstLoad(
  station: ExaminedStation,
  past: readonly Seen[],
  current: readonly Seen[],
  i: number,
): number | null {
  const isLoad = (j: number) =>
    station.instruments[j]?.place === 'kiln-load' || station.instruments[j]?.place === 'mould'
  const jumps = current.filter((s) => s.a === i && isLoad(s.b)).map((s) => jumpOf(past, s))
  const known = jumps.filter((j) => j !== null)
  return known.length === 0 ? null : median(known.map((j) => j.jump))
}

export function movedLook(
  station: ExaminedStation,
  past: readonly Seen[],
  current: readonly Seen[],
  now: Seen,
): Look[] {
  const found = jumpOf(past, now)
  if (found === null) return []
  const least = Math.max(jumpC, jumpShare * (now.band * 100 + 50), jumpSpreads * found.spread)
  const limit = least * (found.firings < fewest ? fewestTimes : found.firings < fewFirings ? fewTimes : 1)
  const quiet: Look[] = [now.a, now.b].map((instrument) => ({ family: 'moved', instrument, sign: null }))
  if (Math.abs(found.jump) < limit) return quiet
  const others = current.filter((s) => samePair(s, now) && s.band !== now.band).map((s) => jumpOf(past, s))
  if (others.some((o) => o !== null && o.jump * Math.sign(found.jump) < limit / 3)) return quiet
  const [la, lb] = [againstLoad(station, past, current, now.a), againstLoad(station, past, current, now.b)]
  const byLoad = la !== null && lb !== null && Math.abs(Math.abs(la) - Math.abs(lb)) >= limit / 2
  // Without a load to ask: what is no longer fully inserted reads lower.
  const isA = byLoad ? Math.abs(la) > Math.abs(lb) : found.jump < 0
  const [instrument, against] = isA ? [now.a, now.b] : [now.b, now.a]
  const way = isA ? 1 : -1
  const evidence: Evidence[] = [
    { what: 'jumped by', value: way * found.jump, unit: '°C', usual: 0 },
    { what: 'stood before at', value: way * found.prior, unit: '°C' },
    { what: 'usual spread', value: found.spread, unit: '°C' },
  ]
  if (byLoad) evidence.push({ what: 'against the load by', value: (isA ? la : lb) as number, unit: '°C', usual: 0 })
  const ruledOut: Doubt['ruledOut'] = [
    { kind: 'ageing', evidence: { what: 'jumped by', value: way * found.jump, unit: '°C' } },
  ]
  return [{ family: 'moved', instrument, sign: { kind: 'moved', against, need: 1, evidence, ruledOut } }]
}

/** One point for each firing: where it stood hottest, carried to one temperature, for what ages is off by a share. */
function pointsOf(past: readonly Seen[], current: readonly Seen[], now: Seen): Seen[] {
  const hottest = new Map<number, Seen>()
  for (const s of [...past, ...current]) {
    if (!samePair(s, now) || s.band < hotBand) continue
    const known = hottest.get(s.firing)
    if (known === undefined || s.band > known.band) hottest.set(s.firing, s)
  }
  const all = [...hottest.values()].sort((x, y) => x.firing - y.firing).slice(-firingsMax)
  return all.map((s) => ({ ...s, difference: (s.difference * carriedToC) / (100 * s.band + 50) }))
}

/** How far the load went along with `i`, from the first half of these firings to the last. */
function trendAgainstLoad(past: readonly Seen[], current: readonly Seen[], pair: Seen, i: number): number | null {
  const seen = [...past, ...current].filter((s) => s.a === i && s.b !== pair.a && s.b !== pair.b)
  const band = seen[seen.length - 1]?.band
  const values = seen.filter((s) => s.band === band).map((s) => s.difference)
  if (values.length < firingsMin) return null
  const half = Math.floor(values.length / 2)
  return median(values.slice(half)) - median(values.slice(0, half))
}

export function driftLook(past: readonly Seen[], current: readonly Seen[], now: Seen): Look[] {
  const points = pointsOf(past, current, now)
  if (points.length < firingsMin) return []
  const trend = trendOf(points.map((s) => [s.firing, s.difference]))
  const [first, last] = [points[0] as Seen, points[points.length - 1] as Seen]
  if (trend === null) return []
  const total = trend.slope * (last.firing - first.firing)
  const rest = Math.max(restMinC, spreadOf(points.map((s) => s.difference - trend.slope * s.firing)))
  const values = points.map((s) => s.difference)
  const steps = values.slice(1).map((v, k) => Math.abs(v - (values[k] as number)))
  const quiet: Look[] = [now.a, now.b].map((instrument) => ({ family: 'ageing', instrument, sign: null }))
  const certain = trend.slope > 0 ? trend.low > slopeC : trend.high < -slopeC
  if (!certain || Math.abs(total) < Math.max(trendC, trendOfRest * rest)) return quiet
  if (Math.max(...steps) > oneStepMax * Math.abs(total) && Math.max(...steps) > jumpC / 2) return quiet
  // The one that comes to read lower is the one that ages.
  const [instrument, against] = trend.slope < 0 ? [now.a, now.b] : [now.b, now.a]
  const [own, other] = [instrument, against].map((i) => trendAgainstLoad(past, current, now, i)) as [
    number | null,
    number | null,
  ]
  if (own !== null && other !== null && Math.abs(other) > Math.abs(own) + 1) return quiet
  const way = instrument === now.a ? 1 : -1
  const evidence: Evidence[] = [
    { what: 'each firing by', value: way * trend.slope, unit: '°C', usual: 0 },
    { what: 'at most', value: way > 0 ? trend.high : -trend.low, unit: '°C' },
    { what: 'firings', value: points.length, unit: '' },
    { what: 'below its twin by', value: -way * last.difference, unit: '°C' },
  ]
  if (own !== null && other !== null)
    evidence.push({ what: 'the other against the load by', value: other, unit: '°C', usual: 0 })
  const ruledOut: Doubt['ruledOut'] = [
    { kind: 'moved', evidence: { what: 'greatest step', value: Math.max(...steps), unit: '°C' } },
    { kind: 'ordering', evidence: { what: 'taken at', value: last.band * 100 + 50, unit: '°C' } },
  ]
  return [{ family: 'ageing', instrument, sign: { kind: 'ageing', against, need: 1, evidence, ruledOut } }]
}
