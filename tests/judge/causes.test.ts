/** Causes on nights drawn by hand: each is named for what it is, and what is no event is not named. */
import { describe, expect, it } from 'vitest'
import { causesIn } from '../../gateway/record/night/course.ts'
import { causesOf, type RoomCourse } from '../../shared/judge/index.ts'
import { hourMs, minuteMs } from '../../shared/time.ts'

const noon = Date.parse('2026-03-03T12:00:00Z')
const minutes = 20 * 60
const at = (hour: number) => (hour - 12) * 60

/** So many minutes of a course; a little unrest that never repeats itself. */
function drawn(level: number, more: (minute: number) => number = () => 0): Float64Array {
  return Float64Array.from(
    { length: minutes },
    (_, i) => level + 0.08 * Math.sin(i / 7) + 0.05 * Math.sin(i / 2.3) + more(i),
  )
}
const ramp =
  (from: number, perHour: number, to = minutes) =>
  (i: number) =>
    i < from ? 0 : (perHour * (Math.min(i, to) - from)) / 60

function room(change: Partial<RoomCourse> = {}): RoomCourse {
  return {
    from: noon,
    dusk: noon + 5.5 * hourMs,
    airC: drawn(22),
    dewC: drawn(9),
    humidity: drawn(45),
    wetBulbC: drawn(14.5),
    other: null,
    corridor: { airC: drawn(19), dewC: drawn(14) },
    pieces: [],
    fan: null,
    door: null,
    silences: [],
    absences: [],
    cuts: [],
    ...change,
  }
}
const told = (change: Partial<RoomCourse>) => causesOf(room(change))
const kinds = (change: Partial<RoomCourse>) => told(change).map((c) => c.kind)
const near = (actual: number | null | undefined, hour: number, minutesOff: number) =>
  expect(Math.abs(((actual ?? 0) - noon) / minuteMs - at(hour))).toBeLessThanOrEqual(minutesOff)

describe('a door', () => {
  /** From 22:00 to 23:30 the air of the corridor comes in, and leaves again within a quarter of an hour. */
  const open = (gap: number) => (i: number) => {
    if (i < at(22)) return 0
    if (i <= at(23.5)) return gap * (1 - Math.exp(-(i - at(22)) / 6))
    return gap * Math.exp(-(i - at(23.5)) / 12)
  }

  it('is told from the air: a step toward the corridor that comes back, with how long the room took', () => {
    const [one, ...more] = told({ dewC: drawn(9, open(3.5)), airC: drawn(22, open(-1.5)) })
    expect(more).toEqual([])
    expect(one).toMatchObject({ kind: 'door', confidence: 'likely' })
    near(one?.from, 22, 8)
    near(one?.to, 23.5, 10)
    expect(one?.recoveryMinutes).toBeGreaterThan(7)
    expect(one?.recoveryMinutes).toBeLessThan(18)
  })

  it('is told from its contact at any hour, and for sure', () => {
    const door = Float64Array.from({ length: minutes }, (_, i) => (i >= at(14) && i < at(15) ? 0 : 1))
    const [one] = told({ door })
    expect(one).toMatchObject({ kind: 'door', confidence: 'sure', from: noon + 2 * hourMs, to: noon + 3 * hourMs })
  })

  it('is not a step away from the corridor, nor somebody who goes through, nor what a machine does every half hour', () => {
    expect(kinds({ dewC: drawn(9, (i) => -open(2)(i)) })).not.toContain('door')
    const through = (i: number) => (i >= at(22) ? 2 * Math.exp(-(i - at(22)) / 12) : 0)
    expect(kinds({ dewC: drawn(9, through) })).not.toContain('door')
    const cycle = (i: number) => 1.5 * Math.exp(-(i % 30) / 5)
    expect(kinds({ dewC: drawn(9, cycle) })).toEqual([])
  })

  it('is not named from the air by day, when people come and go', () => {
    const early = (i: number) => open(3.5)(i + 7 * 60)
    expect(kinds({ dewC: drawn(9, early) })).toEqual([])
  })
})

describe('a machine that stops', () => {
  it('is the dehumidifier where the dew point climbs for hours and the air stays as warm', () => {
    const [one, ...more] = told({ dewC: drawn(9, ramp(at(22), 0.9)) })
    expect(more).toEqual([])
    expect(one).toMatchObject({ kind: 'dehumidifier', to: null })
    near(one?.from, 22, 40)
    expect(one?.ruledOut.map((r) => r.kind)).toContain('cooling')
  })

  it('is the heating where the air falls, also when its damp falls with it', () => {
    expect(kinds({ airC: drawn(22, ramp(at(22), -0.8)) })).toEqual(['heating'])
    expect(kinds({ airC: drawn(22, ramp(at(22), -0.8)), dewC: drawn(9, ramp(at(22), -0.7)) })).toEqual(['heating'])
  })

  it('is the cooling where the air climbs; but not where the air outside the door does the same', () => {
    const airC = drawn(22, ramp(at(22), 0.8))
    expect(kinds({ airC })).toEqual(['cooling'])
    expect(kinds({ airC, corridor: { airC: drawn(19, ramp(at(22), 0.8)), dewC: drawn(14) } })).toEqual([])
  })
})

describe('a fan', () => {
  const current = (still: (i: number) => boolean) =>
    Float64Array.from({ length: minutes }, (_, i) => (still(i) ? 0 : 2.1))

  it('that stands still is told by its current, also when it stands for most of the night', () => {
    const [one] = told({ fan: current((i) => i >= at(19)) })
    expect(one).toMatchObject({ kind: 'fan', confidence: 'sure', from: noon + 7 * hourMs, to: null })
  })

  it('on a timer rests again and again, and is no event', () => {
    expect(kinds({ fan: current((i) => i % 30 < 10) })).toEqual([])
  })
})

describe('a power cut', () => {
  const from = noon + 11 * hourMs
  const spells = [{ from, to: from + 30 * minuteMs }]
  const silences = ['a', 'b', 'c'].map((instrument) => ({ instrument, isMine: instrument !== 'c', spells }))

  it('is several instruments that fall silent together', () => {
    const [one] = told({ silences })
    expect(one).toMatchObject({ kind: 'power-cut', confidence: 'sure', from, to: from + 30 * minuteMs })
  })

  it('is not that we ourselves did not run: nobody could be heard then', () => {
    expect(kinds({ silences, absences: spells })).toEqual([])
  })

  it('of one room says what did not start again in another', () => {
    const stopped = room({ airC: drawn(22, ramp(at(23.1), 0.9)) })
    const [, other] = causesIn([room({ silences }), stopped])
    expect(other?.map((c) => c.kind)).toEqual(['cooling'])
    expect(other?.[0]?.evidence.map((e) => e.is)).toContain('after-power-cut')
    const [alone] = causesIn([stopped])
    expect(alone?.[0]?.evidence.map((e) => e.is)).not.toContain('after-power-cut')
  })
})

describe('a probe', () => {
  it('that stuck repeats itself, though it was lively until then', () => {
    const humidity = drawn(45)
    humidity.fill(humidity[at(23)] as number, at(23), at(25))
    const [one] = told({ humidity })
    expect(one).toMatchObject({ kind: 'sensor' })
    near(one?.from, 23, 3)
  })

  it('that is coarse in a steady room repeats itself all night, and is believed', () => {
    expect(kinds({ humidity: drawn(45).fill(45), airC: drawn(22).map((v) => Math.round(2 * v) / 2) })).toEqual([])
  })

  it('that is pinned at the wet end lies where its neighbour says otherwise, and not where both do', () => {
    const wet = (level: number) => drawn(level, (i) => (i >= at(23) ? 100 - level : 0)).map((v) => Math.min(100, v))
    const dewC = drawn(9, (i) => (i >= at(23) ? 12 : 0))
    const dry = { airC: drawn(22), dewC: drawn(9) }
    expect(kinds({ humidity: wet(45), dewC, other: dry })).toContain('sensor')
    expect(kinds({ humidity: wet(45), dewC, other: { airC: drawn(22), dewC } })).not.toContain('sensor')
  })
})

describe('a quiet night', () => {
  it('has no cause, whatever slow thing the weather does', () => {
    expect(told({})).toEqual([])
    const weather = (i: number) => -2 * Math.sin((Math.PI * i) / minutes)
    expect(kinds({ dewC: drawn(9, weather), corridor: { airC: drawn(19), dewC: drawn(14, weather) } })).toEqual([])
  })
})
