/** A dry room: air with its water, walls that hold heat, shells that give off damp, a cooler and a dryer that switch
 * on and off and defrost, people and doors. Two climate probes, a probe in a test piece, a contact on the door.
 */
import type { Chance } from './chance.ts'
import { type Span, someMorning, spells, steps, within, workshopC } from './course.ts'
import { manners } from './pot-bench.ts'
import { type Fault, type SensorMake, soundSensor } from './sensor.ts'
import type { Gauge, World } from './stage.ts'

/** Magnus form, Pa over water; good to 0.3 % in a workshop (from memory of Alduchov and Eskridge, 1996). */
export const saturationPa = (celsius: number): number => 610.94 * Math.exp((17.625 * celsius) / (celsius + 243.04))
const dampOf = (celsius: number, humidity: number): number => (0.622 * saturationPa(celsius) * humidity) / 100 / 101_325
const humidityOf = (celsius: number, damp: number): number => (100 * damp * 101_325) / 0.622 / saturationPa(celsius)

export interface RoomMake {
  m3: number
  setC: number
  bandC: number
  coolW: number
  heatW: number
  humidity: number
  humidityBand: number
  dryKgPerS: number
  defrostEveryS: number
  defrostS: number
  /** How far probe B stands from the air at A: °C at full cooling, and always. */
  blowC: number
  placeC: number
}

export interface RoomDays {
  outsideC(tS: number): number
  outsideHumidity: number
  door(tS: number): boolean
  people(tS: number): number
  /** Water that the shells give off, kg/s, and how wet the test piece is, 1 … 0. */
  damp(tS: number): number
}

export class Room implements World {
  readonly make: RoomMake
  readonly days: RoomDays
  readonly #chance: Chance
  #wallC: number
  #cooling = false
  #drying = false
  #blow = 0
  #stir = 0
  #pieceWet = 1
  #lastDamp = 0
  damp: number
  airC: number
  pieceC: number
  doorOpen = false

  constructor(make: RoomMake, days: RoomDays, chance: Chance) {
    this.make = make
    this.days = days
    this.#chance = chance
    this.airC = this.#wallC = this.pieceC = make.setC
    this.damp = dampOf(make.setC, make.humidity)
  }

  get atB(): number {
    return this.airC + this.make.placeC + this.make.blowC * this.#blow + 0.5 * this.#stir
  }

  get atA(): number {
    return this.airC + 0.5 * this.#stir
  }

  humidityAt(celsius: number): number {
    return Math.min(100, humidityOf(celsius, this.damp))
  }

  advance(dtS: number, tS: number): void {
    const { make, days } = this
    const outC = days.outsideC(tS)
    this.doorOpen = days.door(tS)
    const humidity = this.humidityAt(this.airC)
    if (this.airC > make.setC + make.bandC / 2) this.#cooling = true
    if (this.airC < make.setC - make.bandC / 2) this.#cooling = false
    if (humidity > make.humidity + make.humidityBand / 2) this.#drying = true
    if (humidity < make.humidity - make.humidityBand / 2) this.#drying = false
    const defrosting = tS % make.defrostEveryS < make.defrostS
    const dries = this.#drying && !defrosting
    this.#blow += (Number(this.#cooling) - this.#blow) * (1 - Math.exp(-dtS / 90))
    const keeps = Math.exp(-dtS / 60)
    this.#stir = this.#stir * keeps + 0.08 * Math.sqrt(1 - keeps * keeps) * this.#chance.normal()
    const exchange = (this.doorOpen ? 0.06 : 0.00025) * make.m3 ** 0.7
    const wallG = 25 * make.m3 ** 0.67
    const airG = exchange * 1_200
    const shortC = make.setC - this.airC
    const heatW =
      (shortC > make.bandC ? make.heatW : 0) + 90 * days.people(tS) + (dries ? 500 : 0) + (defrosting ? 150 : 0)
    const coolW = this.#cooling ? make.coolW : 0
    const pull = wallG + airG
    const aimC = (wallG * this.#wallC + airG * outC + heatW - coolW) / pull
    this.airC = aimC + (this.airC - aimC) * Math.exp((-pull * dtS) / (2_600 * make.m3))
    this.#wallC +=
      ((wallG * (this.airC - this.#wallC) + 0.25 * wallG * 0.35 * (outC - this.#wallC)) * dtS) / (60_000 * make.m3)
    const out = dampOf(outC, days.outsideHumidity)
    const kgAir = 1.2 * make.m3
    const gives = days.damp(tS)
    if (gives > this.#lastDamp + 1e-9) this.#pieceWet = 1
    this.#lastDamp = gives
    const drive = Math.max(0.1, 1 - humidity / 100) / 0.5
    const water = gives * drive + 1.5e-5 * days.people(tS) - (dries ? make.dryKgPerS * Math.min(1, humidity / 50) : 0)
    const swap = 1 - Math.exp((-exchange * dtS) / make.m3)
    this.damp = Math.max(5e-4, this.damp + (out - this.damp) * swap + (water * dtS) / (3 * kgAir))
    this.#pieceWet *= Math.exp(-dtS / 9_000)
    const wetC = this.airC - (1 - humidity / 100) * 14 * Math.min(1, 1.6 * this.#pieceWet)
    this.pieceC += (wetC - this.pieceC) * (1 - Math.exp(-dtS / 900))
  }
}

export interface Hall {
  class: 'dry room'
  make: RoomMake
  days: RoomDays
  startMs: number
  durationS: number
  intervalS: number
  stepS: number
}

/** A room over some days: shells come in by day, doors with people, and nobody at night. */
export function hall(
  chance: Chance,
  daysLong: readonly [number, number],
  intervalsS: readonly number[] = [10, 15, 20, 30, 60],
): Hall {
  const startMs = someMorning(chance)
  const durationS = Math.round(chance.between(...daysLong) * 86_400)
  const m3 = chance.scaled(12, 160)
  const shifts: Span[] = []
  for (let tS = -chance.between(0, 6) * 3_600; tS < durationS; tS += 86_400)
    shifts.push([Math.max(0, tS), Math.min(durationS, tS + chance.between(6, 10) * 3_600)])
  const doors = shifts.flatMap((shift) => spells(chance, shift, [600, 7_200], [15, 300]))
  if (chance.often(0.4)) leaveOpen(chance, doors, durationS)
  const dips = shifts.flatMap(([fromS, toS]) => spells(chance, [fromS, toS], [4_000, 14_000], [60, 61]))
  const gives = m3 * chance.scaled(0.6e-6, 4e-6)
  const damp = dips.flatMap(([fromS]) =>
    [0, 1, 2, 3, 4].map((i) => [fromS + i * 3_000, gives * (1 - 0.2 * i)] as [number, number]),
  )
  damp.sort((a, b) => a[0] - b[0])
  const crew = chance.whole(1, 3)
  const working = within(doors.map(([fromS, toS]) => [fromS, toS + 1] as Span))
  return {
    class: 'dry room',
    startMs,
    durationS,
    make: {
      m3,
      setC: chance.between(19, 25),
      bandC: chance.scaled(0.4, 2.5),
      coolW: m3 * chance.between(45, 90),
      heatW: m3 * chance.between(30, 70),
      humidity: chance.between(38, 62),
      humidityBand: chance.scaled(2, 8),
      dryKgPerS: m3 * chance.scaled(3e-6, 9e-6),
      defrostEveryS: chance.between(1_800, 7_200),
      defrostS: chance.between(180, 700),
      blowC: chance.between(-1.5, 0.3),
      placeC: chance.near(0.3, 0.8),
    },
    days: {
      outsideC: workshopC(chance, startMs),
      outsideHumidity: chance.between(35, 80),
      door: within(doors),
      people: (tS) => (working(tS) ? crew : 0),
      damp: steps(damp, 0),
    },
    intervalS: chance.pick(intervalsS),
    stepS: 10,
  }
}

/** The latch misses once. */
function leaveOpen(chance: Chance, doors: Span[], durationS: number): void {
  const i = chance.whole(0, Math.max(0, doors.length - 1))
  const door = doors[i]
  if (door === undefined) return
  const next = doors[i + 1]?.[0] ?? durationS
  doors[i] = [door[0], Math.max(door[1], Math.min(next - 30, door[0] + chance.scaled(900, 6_000)))]
}

/** A sound climate probe in place A (by the door) or B (by the cooler). */
export function climate(
  chance: Chance,
  { intervalS }: Hall,
  spot: 'A' | 'B',
  change: { fault?(of: 'temperature' | 'humidity'): Fault; make?: Partial<SensorMake>; step?: number } = {},
): Gauge<Room> {
  const at = (room: Room): number => (spot === 'A' ? room.atA : room.atB)
  const step = change.step ?? chance.pick([0.01, 0.1, 0.1, 0.1, 0.5, 1])
  const temperature = soundSensor(chance, { lagS: 240, noise: 0.12, offset: 0.3, gain: 0, step })
  const humidity = soundSensor(chance, {
    lagS: 90,
    noise: 0.6,
    offset: 2,
    gain: 0,
    step: step === 1 || step === 0.5 ? 1 : step * 10,
  })
  return {
    is: { id: `air-${spot.toLowerCase()}`, kind: 'climate', place: 'room-air', intervalMs: intervalS * 1_000 },
    voices: [
      {
        quantity: 'temperature',
        sees: at,
        make: { ...temperature, ...change.make },
        ...(change.fault ? { fault: change.fault('temperature') } : {}),
      },
      {
        quantity: 'humidity',
        sees: (room) => room.humidityAt(at(room)),
        make: change.make?.noise === undefined ? humidity : { ...humidity, noise: 4 * change.make.noise },
        ...(change.fault ? { fault: change.fault('humidity') } : {}),
      },
    ],
    ...manners(chance),
  }
}

export function piece(
  chance: Chance,
  { intervalS }: Hall,
  change: { fault?: Fault; make?: Partial<SensorMake> } = {},
): Gauge<Room> {
  return {
    is: { id: 'piece', kind: 'thermocouple', place: 'test-piece', thermocouple: 'T', intervalMs: intervalS * 1_000 },
    voices: [
      {
        quantity: 'temperature',
        sees: (room) => room.pieceC,
        make: {
          ...soundSensor(chance, { lagS: 30, noise: 0.15, offset: 0.4, gain: 0, step: chance.pick([0.1, 0.0625]) }),
          ...change.make,
        },
        ...(change.fault ? { fault: change.fault } : {}),
      },
    ],
    ...manners(chance),
  }
}

/** 1 shut, 0 open. */
export function doorContact({ intervalS }: Hall): Gauge<Room> {
  const make: SensorMake = { lagS: 0, noise: 0, wander: 0, wanderS: 1, step: 1, offset: 0, gain: 0, driftPerMonth: 0 }
  return {
    is: { id: 'door', kind: 'contact', intervalMs: intervalS * 1_000 },
    voices: [{ quantity: 'contact', sees: (room) => (room.doorOpen ? 0 : 1), make }],
    jitter: 0.02,
    missing: 0,
  }
}
