/** Type K that rests between 250 and 550 °C orders its atoms and reads higher by the hour, until a heat above 650 °C undoes it. */
import type { Evidence } from '../../contract/index.ts'
import type { Firing, Rest, Seen, Still } from './exam.ts'
import { median } from './robust.ts'
import type { ExaminedStation } from './station.ts'
import type { Look, Sign } from './suspicion.ts'

/** When the difference of a pair is remembered, minutes into its rest; from the last on it is looked at. */
const earlyAt = 30
const lateAt = 150
/** What a published table gives from half an hour to two and a half is 1.4 °C (0.9 °C after 5 min, 1.9 after 45, 3.7 after 7 h). */
const growthC = 1.2
/** A corner that only comes to rest grows alike, and ends where the pair usually stands when hot. Beyond that by so much it does not. */
const beyondUsualC = 3
const usualFirings = 2
/** After a heat above 650 °C the difference is gone by at least this, once the pair has rested there too. */
const goneC = 1.7
const restedMinutes = 120
/** No ordering is worth more than 1.7 % between 200 and 600 °C (published): beyond this the pair is apart for another reason, °C. */
const mostC = 11

export function restAfter(rest: Rest | undefined, a: number, b: number, difference: number, atC: number): Rest {
  const minutes = (rest?.minutes ?? 0) + 1
  const now = rest === undefined ? difference : rest.now + (difference - rest.now) / Math.min(minutes, 10)
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
function usualOf(past: readonly Seen[], rest: Rest): number | null {
  const hot = past.filter((s) => s.a === rest.a && s.b === rest.b && s.band >= 6).slice(-8)
  return hot.length < usualFirings ? null : median(hot.map((s) => (s.difference * rest.restC) / (100 * s.band + 50)))
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
export function lookAtRest(station: ExaminedStation, past: readonly Seen[], rest: Rest): Look | null {
  if (rest.minutes < lateAt || rest.minutes % 15 !== 0) return null
  const blame = blamed(station, rest)
  if (!blame) return null
  const { i, against, way } = blame
  const usual = usualOf(past, rest)
  if (usual === null || way * (rest.now - rest.early) < growthC) return null
  const beyond = way * (rest.now - usual)
  if (beyond < beyondUsualC || beyond > mostC) return null
  const more = [{ what: 'above its usual by', value: beyond, unit: '°C', usual: 0 }]
  return { family: 'ordering', instrument: i, sign: signOf(rest, way, against, more) }
}

/** When the pair stands still above 600 °C after a rest: what it had gained is gone, or it was no ordering. */
export function lookAfterHeat(station: ExaminedStation, { rests }: Firing, still: Still): Look | null {
  const rest = rests.find((r) => r.a === still.a && r.b === still.b && r.minutes >= 60)
  if (still.band < 6 || !rest || still.minutes < restedMinutes || still.minutes % 30 !== 0) return null
  const blame = blamed(station, rest)
  if (!blame) return null
  const { i, against, way } = blame
  const gone = way * (rest.now - (still.difference * rest.restC) / (100 * still.band + 50))
  if (gone < goneC || gone > mostC || way * (rest.now - rest.early) < 0.5 * growthC) return null
  return {
    family: 'ordering',
    instrument: i,
    sign: signOf(rest, way, against, [{ what: 'gone after a heat by', value: gone, unit: '°C' }]),
  }
}
