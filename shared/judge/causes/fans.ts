/** A fan that stopped: its current falls, or, where nobody measures that, the wax under wet shell is no longer chilled as it was. */
import { instantOf, medianOf, type Minutes, type RoomCourse, stretchesOf } from './course.ts'
import { fact, type Found } from './evidence.ts'

/** Below this share of its usual current it stands still. */
const stillShare = 0.25
const stillMinutesMin = 5
/** Standing still so often is a timer’s doing, and so many times its usual rest is not. */
const timedLeast = 4
const restTimes = 3
/** Of the wet-bulb depression that the wax feels: so much less, within the hour, is no drying. */
const chillDropMin = 0.1
/** Depression below which the chill cannot be told, °C. */
const depressionMinC = 3

function byCurrent(course: RoomCourse, fan: Minutes): Found[] {
  const seen = Float64Array.from(fan.filter((v) => !Number.isNaN(v))).sort()
  // Not the middle: it may have stood still for most of the night.
  const usual = seen.length < 30 ? 0 : (seen[Math.floor(0.9 * (seen.length - 1))] as number)
  if (!(usual > 0)) return []
  const still = stretchesOf(fan.length, (i) => (fan[i] as number) < stillShare * usual, stillMinutesMin)
  const lengthOf = ({ from, to }: (typeof still)[number]) => (to ?? fan.length) - from
  const lengths = still.map(lengthOf).sort((a, b) => a - b)
  const rest = still.length >= timedLeast ? restTimes * (lengths[lengths.length >> 1] as number) : 0
  return still
    .filter((s) => lengthOf(s) >= rest)
    .map((s) => ({
      kind: 'fan',
      from: instantOf(course, s.from),
      to: s.to === null ? null : instantOf(course, s.to),
      confidence: 'sure',
      evidence: [fact('fan-still', lengthOf(s))],
      ruledOut: [],
    }))
}

/** How much of the depression the wax feels, minute by minute. */
function chillOf(course: RoomCourse, waxC: Minutes): Minutes {
  return waxC.map((wax, i) => {
    const [air, wet] = [course.airC[i] as number, course.wetBulbC[i] as number]
    return air - wet < depressionMinC ? Number.NaN : (air - wax) / (air - wet)
  })
}

/** By how much the chill falls, between the half hour before and the hour after, beyond what the half hours before went on falling. */
function drop(chill: Minutes, i: number): number {
  const [early, late] = [medianOf(chill, i - 75, i - 45, 10), medianOf(chill, i - 30, i, 10)]
  const now = medianOf(chill, i + 45, i + 75, 10)
  const going = Math.min(0, (late - early) / 45) * 75
  return late + going - now
}

function byWax(course: RoomCourse): Found[] {
  const { pieces, airC, dewC } = course
  const chills = pieces.map((p) => chillOf(course, p.waxC))
  let best: { at: number; drop: number } | null = null
  for (let i = 75; i < airC.length - 75; i += 5) {
    const drops = chills.map((c) => drop(c, i)).filter((d) => !Number.isNaN(d))
    // Two at least must tell the same: one piece that dries says nothing of the room.
    if (drops.length < 2) continue
    const least = Math.min(...drops)
    const moved = Math.abs(medianOf(dewC, i + 15, i + 75) - medianOf(dewC, i - 60, i - 5))
    const warmed = Math.abs(medianOf(airC, i + 15, i + 75) - medianOf(airC, i - 60, i - 5))
    // What dries goes on losing its chill; still air lets it keep the rest.
    const later = chills.map((c) => medianOf(c, i + 45, i + 75, 10) - medianOf(c, i + 120, i + 150, 10))
    const goesOn = Math.max(...later.filter((d) => !Number.isNaN(d)), Number.isNaN(later[0] ?? Number.NaN) ? 1 : -1)
    if (goesOn > 0.4 * least) continue
    if (least >= chillDropMin && moved < 0.6 && warmed < 0.6 && (!best || least > best.drop))
      best = { at: i, drop: least }
  }
  if (!best) return []
  return [
    {
      kind: 'fan',
      from: instantOf(course, best.at),
      to: null,
      confidence: 'likely',
      evidence: [fact('wax-warmer', best.drop), fact('dew-point-flat'), fact('temperature-flat')],
      ruledOut: [
        { kind: 'door', because: fact('dew-point-flat') },
        { kind: 'cooling', because: fact('temperature-flat') },
      ],
    },
  ]
}

export function fansOf(course: RoomCourse): Found[] {
  const isMeasured = course.fan?.some((v) => !Number.isNaN(v)) ?? false
  return course.fan && isMeasured ? byCurrent(course, course.fan) : byWax(course)
}
