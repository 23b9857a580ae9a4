/** The readings of a room laid on minutes, for the causes to be read from. */
import { derivedAir } from '../../../shared/physics/climate.ts'
import { causesOf, minuteMeans, minutesBetween, type RoomCourse, type Spell } from '../../../shared/judge/index.ts'
import type { NamedCause } from '../../../shared/contract/index.ts'
import { badQuality } from '../../../shared/series/columns.ts'
import type { EpochMs } from '../../../shared/time.ts'
import type { NightSeries } from './material.ts'

export interface RoomSeries {
  leading: string | undefined
  /** Of the room itself. */
  mine: readonly NightSeries[]
  /** Of the surroundings its door opens to. */
  outside: readonly NightSeries[]
  /** Of the whole foundry: what falls silent with it may hang on the same mains. */
  all: readonly NightSeries[]
}

export interface CourseSpan {
  from: EpochMs
  dusk: EpochMs
  upTo: EpochMs
  pressurePa: number
  absences: readonly Spell[]
}

type Minutes = Float64Array

interface Air {
  instrument: string
  airC: Minutes
  dewC: Minutes
  humidity: Minutes
  wetBulbC: Minutes
}

function minutesOf({ columns, silenceMs }: NightSeries, { from, upTo }: CourseSpan): Minutes {
  const isBad = columns.quality.includes(badQuality)
  const seen = isBad ? columns.v.map((v, i) => (columns.quality[i] === badQuality ? Number.NaN : v)) : columns.v
  return minuteMeans(columns.t, seen, from, minutesBetween(from, upTo), silenceMs)
}

/** Every probe of both temperature and humidity, the leading one first. */
function airsOf(series: readonly NightSeries[], leading: string | undefined, span: CourseSpan): Air[] {
  const climate = series.filter((s) => s.instrument.kind === 'climate')
  const ids = [...new Set(climate.map((s) => s.instrument.id))].sort(
    (a, b) => Number(b === leading) - Number(a === leading),
  )
  return ids.flatMap((instrument) => {
    const of = (quantity: string) => climate.find((s) => s.instrument.id === instrument && s.quantity === quantity)
    const [temperature, damp] = [of('temperature'), of('humidity')]
    if (!temperature || !damp) return []
    const [airC, humidity] = [minutesOf(temperature, span), minutesOf(damp, span)]
    const derived = Array.from(airC, (c, i) =>
      Number.isNaN(c) ? null : derivedAir(c, Math.min(100, humidity[i] as number), span.pressurePa),
    )
    const dewC = Float64Array.from(derived, (d) => d?.dewPointC ?? Number.NaN)
    const wetBulbC = Float64Array.from(derived, (d) => d?.wetBulbC ?? Number.NaN)
    return [{ instrument, airC, dewC, humidity, wetBulbC }]
  })
}

/** Most arrive in the order in which they were measured: then there is nothing to sort. */
function inOrder(times: Float64Array): Float64Array {
  for (let i = 1; i < times.length; i++)
    if ((times[i] as number) < (times[i - 1] as number)) return Float64Array.from(times).sort()
  return times
}

/** When nothing of it arrived for longer than its silence limit. */
function silencesOf({ columns, silenceMs }: NightSeries, { from, upTo }: CourseSpan): Spell[] {
  const arrived = inOrder(columns.arrivedAt)
  const spells: Spell[] = []
  // Before its first word nobody can say that it was silent.
  let last = arrived[0] ?? upTo
  for (const at of arrived) {
    if (at >= from && at - last > silenceMs) spells.push({ from: last, to: at })
    last = at
    if (at > upTo) return spells
  }
  if (upTo - last > silenceMs) spells.push({ from: last, to: upTo })
  return spells
}

/** The room's course on minutes; null where no probe tells both temperature and humidity. */
export function courseOf(room: RoomSeries, span: CourseSpan): RoomCourse | null {
  const [leading, other] = airsOf(room.mine, room.leading, span)
  if (!leading) return null
  const [outside] = airsOf(room.outside, undefined, span)
  const first = (kind: string, quantity: string) =>
    room.mine.find((s) => s.instrument.kind === kind && s.quantity === quantity)
  const [fan, door] = [first('current', 'current'), first('contact', 'contact')]
  const speaks = (s: NightSeries) => s.quantity !== 'humidity'
  return {
    from: span.from,
    dusk: span.dusk,
    airC: leading.airC,
    dewC: leading.dewC,
    humidity: leading.humidity,
    wetBulbC: leading.wetBulbC,
    other: other ?? null,
    corridor: outside ?? null,
    pieces: room.mine
      .filter((s) => s.instrument.place === 'test-piece' && s.quantity === 'temperature')
      .map((s) => ({ probe: s.instrument.id, waxC: minutesOf(s, span) })),
    fan: fan ? minutesOf(fan, span) : null,
    door: door ? minutesOf(door, span) : null,
    silences: room.all.filter(speaks).map((s) => ({
      instrument: s.instrument.id,
      isMine: room.mine.includes(s),
      spells: silencesOf(s, span),
    })),
    absences: span.absences,
    cuts: [],
  }
}

function cutsIn(causes: readonly NamedCause[]): Spell[] {
  return causes.filter((c) => c.kind === 'power-cut').map((c) => ({ from: c.from, to: c.to ?? c.from }))
}

/** What happened in each room, by name. What one room tells of the mains explains what another one's machines did. */
export function causesIn(courses: readonly (RoomCourse | null)[]): NamedCause[][] {
  const first = courses.map((course) => (course ? causesOf(course) : []))
  return first.map((causes, i) => {
    const course = courses[i]
    const own = cutsIn(causes)
    const elsewhere = first
      .flatMap((others, k) => (k === i ? [] : cutsIn(others)))
      .filter((cut) => !own.some((o) => cut.from <= o.to && o.from <= cut.to))
    return course && elsewhere.length > 0 ? causesOf({ ...course, cuts: elsewhere }) : causes
  })
}
