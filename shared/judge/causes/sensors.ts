/** A probe that lies about a room that is well: pinned at the wet end, stuck, or jumping where its neighbour does not. */
import { instantOf, medianOf, type Minutes, type RoomCourse, stretchesOf } from './course.ts'
import { fact, type Found } from './evidence.ts'

const pinnedAt = 98.5
const pinnedMinutesMin = 10
/** A wet probe ends somewhat below that; then it must have got there at once, which no room does. */
const nearlyPinnedAt = 93
const leapPercent = 15
const leapMinutes = 20
/** One value again and again: for so long, and so many times as long as ever in its other hours. */
const stuckMinutesMin = 45
const stuckTimes = 2.5
const livelyMinutes = 90
const livelyMin = 0.4
/** °C of dew point or air that no room moves by within two minutes. */
const jumpMinC = 1
const unrestTimes = 6
const oftenTimes = 1.5

function pinned(course: RoomCourse): Found[] {
  const { humidity, other, dewC } = course
  const leaps = (from: number) =>
    medianOf(humidity, from + 5, from + 10, 2) - medianOf(humidity, from - leapMinutes - 10, from - leapMinutes, 2) >=
    leapPercent
  return stretchesOf(humidity.length, (i) => (humidity[i] as number) >= nearlyPinnedAt, pinnedMinutesMin).flatMap(
    ({ from, to }): Found[] => {
      const end = to ?? humidity.length
      if (medianOf(humidity, from, end) < pinnedAt && !leaps(from)) return []
      const apart = other ? Math.abs(medianOf(dewC, from, end) - medianOf(other.dewC, from, end)) : Number.NaN
      // Two that agree tell of fog, not of a probe.
      if (apart < 1) return []
      return [
        {
          kind: 'sensor',
          from: instantOf(course, from),
          to: to === null ? null : instantOf(course, to),
          confidence: Number.isNaN(apart) ? 'likely' : 'sure',
          evidence: [
            fact('pinned', medianOf(humidity, from, end)),
            ...(Number.isNaN(apart) ? [] : [fact('other-probe-differs', apart)]),
          ],
          ruledOut: [],
        },
      ]
    },
  )
}

/** Temperature or humidity alone, or both: a probe of two elements may lose one. */
function stuck(course: RoomCourse): Found[] {
  return [course.airC, course.humidity]
    .flatMap((all) => stuckIn(course, all))
    .filter((f, i, both) => i === 0 || f.from !== both[0]?.from)
}

function changesPerMinute(all: Minutes, from: number, to: number): number {
  let changes = 0
  for (let i = Math.max(1, from); i < to; i++) if (all[i] !== all[i - 1]) changes++
  return changes / Math.max(1, to - Math.max(1, from))
}

function stuckIn(course: RoomCourse, all: Minutes): Found[] {
  const same = stretchesOf(all.length, (i) => i > 0 && all[i] === all[i - 1], 2)
  const lengthOf = ({ from, to }: (typeof same)[number]) => (to ?? all.length) - from
  const [longest] = [...same].sort((a, b) => lengthOf(b) - lengthOf(a))
  if (!longest) return []
  const others = Math.max(0, ...same.filter((s) => s !== longest).map(lengthOf))
  // A coarse probe in a steady room repeats itself all night; one that stuck was lively until then.
  const liveliness = changesPerMinute(all, longest.from - livelyMinutes, longest.from)
  if (lengthOf(longest) < Math.max(stuckMinutesMin, stuckTimes * others) || liveliness < livelyMin) return []
  return [
    {
      kind: 'sensor',
      from: instantOf(course, longest.from),
      to: longest.to === null ? null : instantOf(course, longest.to),
      confidence: 'likely',
      evidence: [fact('stuck', lengthOf(longest))],
      ruledOut: [],
    },
  ]
}

function jumps(course: RoomCourse, unrest: { dew: number; air: number }): Found[] {
  const { dewC, airC, other, corridor } = course
  const jump = (all: Minutes, i: number) => medianOf(all, i + 2, i + 8, 3) - medianOf(all, i - 6, i, 3)
  const sudden = (all: Minutes, i: number) => {
    const whole = jump(all, i)
    return Math.abs(medianOf(all, i + 1, i + 3) - medianOf(all, i - 2, i)) > 0.8 * Math.abs(whole) ? whole : 0
  }
  for (let i = 8; i < dewC.length - 10; i++) {
    const [dew, air] = [sudden(dewC, i), sudden(airC, i)]
    const isDew = Math.abs(dew) >= Math.max(jumpMinC, unrestTimes * unrest.dew)
    const isAir = Math.abs(air) >= Math.max(jumpMinC, unrestTimes * unrest.air)
    if (!isDew && !isAir) continue
    const [mine, size] = isDew ? [dewC, dew] : [airC, air]
    const theirs = other ? jump(isDew ? other.dewC : other.airC, i) : Number.NaN
    const gap = corridor
      ? medianOf(isDew ? corridor.dewC : corridor.airC, i - 5, i + 6) - (mine[i - 1] as number)
      : Number.NaN
    const away = !Number.isNaN(gap) && Math.sign(gap) !== Math.sign(size)
    const beyond = !Number.isNaN(gap) && Math.abs(size) > 1.3 * Math.abs(gap) + 0.5
    const apart = !Number.isNaN(theirs) && Math.abs(size - theirs) > 0.7 * Math.abs(size)
    const agrees = !Number.isNaN(theirs) && !apart
    if (agrees || !(apart || away || beyond)) continue
    // Where no other probe can be asked, a room that jumps like that at other times is itself the reason; and a probe that was moved stays so.
    const isOften = !apart && Math.abs(size) < oftenTimes * often(mine, i)
    const stays = medianOf(mine, i + 30, i + 90, 20) - medianOf(mine, i - 60, i - 5, 20)
    if (isOften || Math.sign(stays) !== Math.sign(size) || Math.abs(stays) < 0.6 * Math.abs(size)) continue
    return [
      {
        kind: 'sensor',
        from: instantOf(course, i),
        to: null,
        confidence: apart ? 'sure' : 'likely',
        evidence: [
          fact(isDew ? 'dew-point-step' : 'temperature-step', size),
          ...(apart ? [fact('other-probe-differs', size - theirs)] : []),
          ...(away || beyond ? [fact('away-from-corridor', size)] : []),
        ],
        ruledOut: [
          {
            kind: 'door',
            because: apart ? fact('other-probe-differs', size - theirs) : fact('away-from-corridor', size),
          },
        ],
      },
    ]
  }
  return []
}

/** What the course moves within some minutes in the liveliest hundredth of its other hours. */
function often(all: Minutes, at: number): number {
  const moves: number[] = []
  for (let i = 8; i < all.length - 10; i += 2)
    if (Math.abs(i - at) > 60) {
      const move = Math.abs(medianOf(all, i + 2, i + 8, 3) - medianOf(all, i - 6, i, 3))
      if (!Number.isNaN(move)) moves.push(move)
    }
  moves.sort((a, b) => a - b)
  return moves[Math.floor(0.99 * (moves.length - 1))] ?? 0
}

export function sensorsOf(course: RoomCourse, unrest: { dew: number; air: number }): Found[] {
  return [...pinned(course), ...stuck(course), ...jumps(course, unrest)]
}
