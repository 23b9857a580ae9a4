/** The held-out nights are what they say they are: repeatable, closed in heat and water, and with one cause or none. */
import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { dewC, doorM3PerS, ratioOf, saturationPa, vapourOf } from './rooms/air.ts'
import { drawn, eventKinds, frozenSeed, type RoomNight, roomNight, type Track } from './rooms/rooms.ts'
import { isSeen } from './rooms/seen.ts'

const hourMs = 3_600_000
const kinds = [...eventKinds, 'quiet'] as const
const nights: RoomNight[] = kinds.flatMap((kind) => [0, 1, 2].map((nth) => roomNight(kind, 41, nth).night))
const events = nights.filter((night) => night.kind !== 'quiet')
const tracksOf = (night: RoomNight) => Object.entries(night.tracks)
const until = (track: Track, t: number) => track.t.flatMap((at, i) => (at < t ? [[at, track.v[i]]] : []))

describe('air', () => {
  // IAPWS-95, as published in whole hundredths of a Pa; ours is another formula, and off a table.
  it.each([
    [5, 872.58],
    [20, 2339.32],
    [25, 3169.93],
    [35, 5629.02],
    [50, 12351.95],
  ])('holds at %d °C %d Pa', (celsius, pascal) => {
    expect(Math.abs(saturationPa(celsius) / pascal - 1)).toBeLessThan(1e-4)
  })

  it('has dew points and ratios of the published rows', () => {
    expect(dewC(0.5 * saturationPa(20))).toBeCloseTo(9.272, 1)
    expect(dewC(0.6 * saturationPa(22))).toBeCloseTo(13.886, 1)
    expect(ratioOf(0.6 * saturationPa(22), 101_325)).toBeCloseTo(0.009895, 4)
    expect(vapourOf(ratioOf(1_200, 96_000), 96_000)).toBeCloseTo(1_200, 9)
  })

  it('passes a door the more, the wider it stands and the more the sides differ', () => {
    expect(doorM3PerS(0, 1, 2, 5, 0.05)).toBe(0)
    expect(doorM3PerS(1, 1, 2, 5, 0.05)).toBeGreaterThan(2 * doorM3PerS(0.4, 1, 2, 5, 0.05))
    expect(doorM3PerS(1, 1, 2, 5, 0.05)).toBeGreaterThan(doorM3PerS(1, 1, 2, 1, 0.05))
    expect(doorM3PerS(1, 1, 2, 0, 0.05)).toBeCloseTo(0.1, 9)
  })
})

describe('a night', () => {
  it('is the same for the same seed, and another for another', () => {
    for (const kind of ['door', 'power-cut', 'quiet'] as const) {
      expect(roomNight(kind, frozenSeed, 2)).toEqual(roomNight(kind, frozenSeed, 2))
      const other = roomNight(kind, frozenSeed + 1, 2).night
      expect(other.tracks['a.temperature']!.v).not.toEqual(
        roomNight(kind, frozenSeed, 2).night.tracks['a.temperature']!.v,
      )
    }
  })

  it('has rising times within twenty hours from noon, and finite values that arrive after they were measured', () => {
    for (const night of nights) {
      expect(night.to - night.from).toBe(20 * hourMs)
      expect(new Date(night.from).getUTCHours()).toBe(12)
      for (const [name, { t, v, arrivedAt }] of tracksOf(night)) {
        expect(t.length, name).toBeGreaterThan(100)
        expect([v.length, arrivedAt.length]).toEqual([t.length, t.length])
        expect(
          t.every((at, i) => at >= night.from && at < night.to && (i === 0 || at > t[i - 1]!)),
          name,
        ).toBe(true)
        expect(
          arrivedAt.every((at, i) => Number.isInteger(at) && at > t[i]!),
          name,
        ).toBe(true)
        expect(v.every(Number.isFinite), name).toBe(true)
      }
    }
  })

  it('tells what its house has, within what such rooms know', () => {
    for (const { house, tracks, elevationPressurePa } of nights) {
      expect('b.humidity' in tracks).toBe(house.hasSecondProbe)
      expect('hall.humidity' in tracks).toBe(house.hasCorridor)
      expect('fan.current' in tracks).toBe(house.hasFanCurrent)
      expect('door.contact' in tracks).toBe(house.hasDoorContact)
      expect(Object.keys(tracks).filter((name) => name.startsWith('wax')).length).toBe(house.testPieces)
      expect(tracks['a.humidity']!.t).toEqual(tracks['a.temperature']!.t)
      expect(elevationPressurePa).toBeGreaterThan(80_000)
      for (const c of tracks['a.temperature']!.v) expect(Math.abs(c - 21)).toBeLessThan(17)
      for (const percent of tracks['a.humidity']!.v) expect(Math.abs(percent - 50)).toBeLessThanOrEqual(50)
      for (const is of tracks['door.contact']?.v ?? []) expect([0, 1]).toContain(is)
    }
  })

  it('closes its books of heat and water', () => {
    for (const kind of kinds)
      for (let i = 0; i < 4; i++) {
        const { course } = drawn(`books/${kind}/${i}`, kind)
        expect(course.heatLeft, kind).toBeLessThan(1e-6)
        expect(course.waterLeft, kind).toBeLessThan(1e-6)
      }
  })
})

describe('an event', () => {
  it('begins between one and ten hours after dusk, and ends within the night or not at all', () => {
    for (const { truth, from, to, kind } of events) {
      const afterDusk = (truth!.from - from) / hourMs - 5.5
      expect(afterDusk, kind).toBeGreaterThanOrEqual(1)
      expect(afterDusk, kind).toBeLessThanOrEqual(10)
      if (truth!.to !== null) expect(truth!.to > truth!.from && truth!.to < to, kind).toBe(true)
      expect(truth!.told.length, kind).toBeGreaterThan(10)
    }
  })

  it('is all that differs from the same night without it: nothing before, something after', () => {
    for (const kind of eventKinds)
      for (let i = 0; i < 3; i++) {
        const { night, without, turned, event, course } = drawn(`twin/${kind}/${i}`, kind)
        // A reading lies between two steps of the room.
        const before = event!.truth.from - course.stepMs
        for (const [name, track] of tracksOf(night))
          expect(until(track, before), `${kind} ${name}`).toEqual(until(without[name]!, before))
        if (isSeen(night, without, turned, event!)) expect(night.tracks).not.toEqual(without)
      }
  })

  it('is drawn again where nobody could see it', () => {
    const redrawn = Array.from({ length: 12 }, (_, nth) => roomNight('dehumidifier', 43, nth))
    expect(Math.max(...redrawn.map((one) => one.redrawn))).toBeGreaterThan(0)
    const { night, without, turned, event } = drawn('twin/door/0', 'door')
    expect(isSeen({ ...night, tracks: without }, without, turned, event!)).toBe(false)
  })

  it('of the mains takes the fans, or the words of instruments', () => {
    for (const { truth, tracks } of events.filter((night) => night.kind === 'power-cut')) {
      const fan = tracks['fan.current']
      if (fan)
        fan.t.forEach((t, i) => {
          if (t >= truth!.from + 20_000 && t < truth!.to!) expect(fan.v[i]!).toBeLessThan(0.2)
        })
    }
  })
})

describe('a quiet night', () => {
  it('has no event, and is not flat', () => {
    for (const { truth, tracks } of nights.filter((night) => night.kind === 'quiet')) {
      expect(truth).toBeNull()
      expect(new Set(tracks['a.humidity']!.v).size).toBeGreaterThan(8)
    }
  })
})

describe('the nights', () => {
  it('know nothing of what they measure, and fit on a few pages', () => {
    const folder = new URL('./rooms/', import.meta.url)
    for (const file of readdirSync(folder)) {
      const text = readFileSync(new URL(file, folder), 'utf8')
      expect(text.split('\n').length, file).toBeLessThan(201)
      for (const [, from] of text.matchAll(/from '([^']+)'/g))
        expect(from, file).toMatch(/^(\.\/[a-z]+\.ts|\.\.\/lies\/chance\.ts)$/)
    }
  })
})
