/** A probe that lies about a room that is well: pinned at the wet end, stuck, or jumping where its neighbour does not. */
import { instantOf, medianOf, type Minutes, type RoomCourse, stretchesOf } from './course.ts'
import { fact, type Found } from './evidence.ts'

const pinnedAt = 98.5
const pinnedMinutesMin = 10
const stuckMinutesMin = 40
/** °C of dew point or air that no room moves by within two minutes. */
const jumpMinC = 1
const unrestTimes = 6

function pinned(course: RoomCourse): Found[] {
  const { humidity, other, dewC } = course
  return stretchesOf(humidity.length, (i) => (humidity[i] as number) >= pinnedAt, pinnedMinutesMin).flatMap(
    ({ from, to }): Found[] => {
      const end = to ?? humidity.length
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

function stuck(course: RoomCourse): Found[] {
  const { airC, humidity } = course
  const same = (all: Minutes, i: number) => i > 0 && all[i] === all[i - 1]
  const moves = (all: Minutes) => {
    let changed = 0
    let seen = 0
    for (let i = 1; i < all.length; i++)
      if (!Number.isNaN(all[i] as number) && !Number.isNaN(all[i - 1] as number)) {
        seen++
        if (all[i] !== all[i - 1]) changed++
      }
    return seen > 0 ? changed / seen : 0
  }
  // A coarse probe in a steady room repeats itself; one that usually moves does not.
  if (moves(airC) < 0.3 && moves(humidity) < 0.3) return []
  return stretchesOf(airC.length, (i) => same(airC, i) && same(humidity, i), stuckMinutesMin).map(({ from, to }) => ({
    kind: 'sensor',
    from: instantOf(course, from),
    to: to === null ? null : instantOf(course, to),
    confidence: 'sure',
    evidence: [fact('stuck', (to ?? airC.length) - from)],
    ruledOut: [],
  }))
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

export function sensorsOf(course: RoomCourse, unrest: { dew: number; air: number }): Found[] {
  return [...pinned(course), ...stuck(course), ...jumps(course, unrest)]
}
