/** Held-out nights of a dry room with a known cause, told by other air, other walls and other machines than the product's own. */
import { Chance } from '../lies/chance.ts'
import { carrierOf, tell } from './carrier.ts'
import { live } from './course.ts'
import { doingsOf } from './doings.ts'
import { happeningOf } from './events.ts'
import { houseOf } from './house.ts'
import { noonOf, type Season, seasonOf } from './outdoors.ts'
import { climateReader, contactReader, fanReader, inHall, inRoom, waxReader } from './probes.ts'
import type { Course, Happening, Kind, RoomNight, Track } from './scene.ts'
import { isSeen } from './seen.ts'

export { eventKinds, type RoomNight, type Track } from './scene.ts'

export const frozenSeed = 20260715

const hourMs = 3_600_000

/** All that was told, of one course. Everything but the event is drawn alike with it and without it. */
function told(name: string, kind: Kind, season: Season, from: number, to: number, withEvent: boolean, turned = 0) {
  const c = new Chance(`${name}/house`)
  const house = houseOf(c, kind, season, from)
  const has = {
    hasSecondProbe: c.often(0.5),
    hasCorridor: c.often(0.8),
    hasFanCurrent: c.often(0.4),
    hasDoorContact: c.often(0.35),
    testPieces: c.pick([0, 1, 1, 2]),
  }
  const doings = doingsOf(name, house, from, has.testPieces)
  const event: Happening | null = kind === 'quiet' || !withEvent ? null : happeningOf(name, kind, house, { from, to })
  const course: Course = live(name, house, doings, event, from, to, turned)
  const dark = event?.dark ?? null
  const network = { onBattery: c.often(0.5), ms: c.between(10_000, 200_000) }
  const tracks: Record<string, Track> = {}
  const carrier = (mains: number) => carrierOf(c, from, to, mains, network)
  const climate = (station: string, reader: ReturnType<typeof climateReader>, by = carrier(0.5)) => {
    const [temperature, humidity] = tell(`${name}/${station}`, by, course, to, dark, [], reader)
    tracks[`${station}.temperature`] = temperature!
    tracks[`${station}.humidity`] = humidity!
  }
  const place = c.next()
  climate('a', climateReader(`${name}/a`, inRoom(course, place), to, event?.lie ?? null))
  if (has.hasSecondProbe) {
    const other = place > 0.5 ? c.between(0, 0.4) : c.between(0.6, 1)
    climate('b', climateReader(`${name}/b`, inRoom(course, other), to, null))
  }
  if (has.hasCorridor) {
    const odd = c.pick(['', '', '', '', 'gate', 'off', 'sparse', 'dies'])
    const by = carrier(0.4)
    if (odd === 'sparse') by.intervalMs *= c.whole(3, 6)
    if (odd === 'dies') {
      const t = c.between(from, to)
      by.holes.push({ from: t, to: t + c.scaled(0.2, 9) * hourMs, share: 1 })
    }
    const passing = inHall(course, odd === 'gate' ? c.between(0.2, 0.7) : 0)
    climate('hall', climateReader(`${name}/hall`, passing, to, null, odd === 'off' ? 1 : 0), by)
  }
  course.wax.forEach((wax, k) => {
    tracks[`wax${k}.temperature`] = tell(
      `${name}/wax${k}`,
      carrier(0.5),
      course,
      to,
      dark,
      [],
      waxReader(`${name}/wax${k}`, wax),
    )[0]!
  })
  if (has.hasFanCurrent) {
    const reader = fanReader(`${name}/fan`, course.fan, house, event)
    tracks['fan.current'] = tell(`${name}/fan`, carrier(0.8), course, to, dark, [], reader)[0]!
  }
  if (has.hasDoorContact) {
    const moves: number[] = []
    for (let i = 1; i < course.door.length - 2; i++)
      if (course.door[i]! > 0 !== course.door[i - 1]! > 0) moves.push(from + i * course.stepMs + 1)
    const reader = contactReader(`${name}/door`, course.door)
    tracks['door.contact'] = tell(`${name}/door`, carrier(0.3), course, to, dark, moves, reader)[0]!
  }
  return { house, has, event, course, tracks }
}

/** One draw, seen or not; the test looks at its books. */
export function drawn(name: string, kind: Kind) {
  const c = new Chance(`${name}/day`)
  const season = seasonOf(c, kind)
  const from = noonOf(c, season)
  const to = from + 20 * hourMs
  const real = told(name, kind, season, from, to, true)
  const without = kind === 'quiet' ? real : told(name, kind, season, from, to, false)
  const night: RoomNight = {
    kind,
    truth: real.event?.truth ?? null,
    from,
    to,
    elevationPressurePa: Math.round(real.house.pressurePa),
    house: real.has,
    tracks: real.tracks,
  }
  return {
    night,
    without: without.tracks,
    turned: () => told(name, kind, season, from, to, false, 0.4).tracks,
    course: real.course,
    house: real.house,
    event: real.event,
  }
}

export function roomNight(kind: Kind, seed: number, nth: number): { night: RoomNight; redrawn: number } {
  for (let redrawn = 0; redrawn < 100; redrawn++) {
    const { night, without, turned, event } = drawn(`${seed}/${kind}/${nth}/${redrawn}`, kind)
    if (event === null || isSeen(night, without, turned, event)) return { night, redrawn }
  }
  throw new Error(`no ${kind} that anybody could see`)
}
