/** Type K that rests between 250 and 550 °C orders its atoms and reads higher by the hour, until a heat above 650 °C undoes it. */
import type { Evidence } from '../../contract/index.ts'
import type { Rest, Seen } from './exam.ts'
import { median } from './robust.ts'
import type { ExaminedStation } from './station.ts'
import type { Look, Sign } from './suspicion.ts'

/** When the difference of a pair is remembered, minutes into its rest; from when on it is looked at, and how often. */
const earlyAt = 30
const lookFrom = 60
const growthFrom = 120
const every = 10
/** Its growth at rest, published (0.9 °C after 5 min, 1.9 after 45, 3.7 after 7 h at 350 °C), lies near 0.9 (t/5 min)^0.32 °C (own fit). */
const afterFiveC = 0.9
const power = 0.32
/** Wires differ; a pair that gains this share of it, and so much at least, gains it. */
const growthShare = 0.4
const growthC = 0.6
/** Above where the pair stands when it is hot and has forgotten; then less growth is enough. */
const beyondC = 2
const beyondGrowthShare = 0.2
/** Against a twin of type K. */
const twinFrom = 150
const twinGrowthC = 1.2
const twinBeyondC = 3
/** No ordering is worth more than 1.7 % between 200 and 600 °C (published): beyond this the pair is apart for another reason, °C. */
const mostC = 12

function expectedC(minutes: number): number {
  return afterFiveC * (minutes / 5) ** power
}

export function restAfter(rest: Rest | undefined, a: number, b: number, difference: number, atC: number): Rest {
  const minutes = (rest?.minutes ?? 0) + 1
  const now = rest === undefined ? difference : rest.now + (difference - rest.now) / Math.min(minutes, 20)
  return {
    a,
    b,
    minutes,
    now,
    early: minutes <= earlyAt || rest === undefined ? now : rest.early,
    over: false,
    restC: rest === undefined ? atC : rest.restC + (atC - rest.restC) / Math.min(minutes, 30),
  }
}

function isTypeK(station: ExaminedStation, i: number): boolean {
  return (station.instruments[i]?.thermocouple ?? 'K') === 'K'
}

function blamed(station: ExaminedStation, rest: Rest): { i: number; against: number; way: number } | null {
  const way = rest.now >= rest.early ? 1 : -1
  const [i, against] = way > 0 ? [rest.a, rest.b] : [rest.b, rest.a]
  return isTypeK(station, i) ? { i, against, way } : null
}

/** How the pair stands when hot, carried to the temperature of the rest: tolerances grow with temperature. */
function usualOf(seen: readonly Seen[], rest: Rest): number | null {
  const hot = seen.filter((s) => s.a === rest.a && s.b === rest.b && s.band >= 6).slice(-8)
  return hot.length === 0 ? null : median(hot.map((s) => (s.difference * rest.restC) / (100 * s.band + 50)))
}

function signOf(rest: Rest, way: number, against: number, more: Evidence[]): Sign {
  const evidence: Evidence[] = [
    { what: 'rose at rest by', value: way * (rest.now - rest.early), unit: '°C', usual: 0 },
    { what: 'at rest for', value: rest.minutes / 60, unit: 'h' },
    { what: 'rest at', value: rest.restC, unit: '°C' },
    ...more,
  ]
  const ruledOut = [
    { kind: 'ageing', evidence: { what: 'rose at rest by', value: way * (rest.now - rest.early), unit: '°C' } },
  ] as const
  return { kind: 'ordering', against, need: 1, evidence, ruledOut }
}

/** While it rests. */
export function lookAtRest(station: ExaminedStation, seen: readonly Seen[], rest: Rest): Look | null {
  if (rest.minutes < lookFrom || rest.minutes % every !== 0) return null
  const blame = blamed(station, rest)
  if (!blame) return null
  const { i, against, way } = blame
  const growth = way * (rest.now - rest.early)
  const expected = expectedC(rest.minutes) - expectedC(earlyAt)
  const usual = usualOf(seen, rest)
  const beyond = usual === null ? 0 : way * (rest.now - usual)
  if (beyond > mostC) return null
  if (isTypeK(station, against)) {
    // A twin of type K orders as well, and a corner that only comes to rest grows alike: only far beyond the usual.
    if (usual === null || rest.minutes < twinFrom || growth < twinGrowthC || beyond < twinBeyondC) return null
  } else {
    const grew = rest.minutes >= growthFrom && growth >= Math.max(growthC, growthShare * expected)
    if (!grew && !(beyond >= beyondC && growth >= beyondGrowthShare * expected)) return null
  }
  const more = usual === null ? [] : [{ what: 'above its usual by', value: beyond, unit: '°C', usual: 0 }]
  return { family: 'ordering', instrument: i, sign: signOf(rest, way, against, more) }
}
