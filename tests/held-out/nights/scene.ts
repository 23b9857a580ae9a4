/** One held-out night of a dry room as its instruments told it, and what really happened. */
import { gramsOf, humidityOf } from './air.ts'
import { Chance } from '../lies/chance.ts'
import { type Hand, Room, stepS } from './room.ts'

export const eventKinds = ['door', 'dehumidifier', 'cooling-or-heating', 'fan', 'power-cut', 'sensor'] as const
export type EventKind = (typeof eventKinds)[number]

export interface Track {
  t: number[]
  v: number[]
  arrivedAt: number[]
}

export interface NightScene {
  kind: EventKind | 'quiet'
  /** Null of a quiet night. */
  truth: { from: number; to: number | null } | null
  from: number
  to: number
  tracks: Record<string, Track>
}

/** 14:30, so that three hours lie before dusk. */
const start = Date.UTC(2026, 2, 3, 14, 30)
const hours = 17
const duskS = 3 * 3_600
const endS = hours * 3_600

interface Probe {
  slowS: number
  offset: number
  noise: number
  digit: number
  state: number
}

const probeOf = (d: Chance, offset: number, noise: number, digits: readonly number[]): Probe => ({
  slowS: d.scaled(30, 500),
  offset: offset * d.normal(),
  noise,
  digit: d.pick(digits),
  state: Number.NaN,
})

function read(p: Probe, value: number, d: Chance): number {
  p.state = Number.isNaN(p.state) ? value : p.state + (value - p.state) * Math.min(1, stepS / p.slowS)
  return Math.round((p.state + p.offset + p.noise * d.normal()) / p.digit) * p.digit
}

interface Plan {
  from: number
  to: number | null
}

function planOf(kind: EventKind | 'quiet', d: Chance): Plan | null {
  const from = duskS + d.between(1, 9) * 3_600
  switch (kind) {
    case 'quiet':
      return null
    case 'door':
      return { from, to: from + d.scaled(8, 180) * 60 }
    case 'power-cut':
      return { from, to: from + d.scaled(5, 90) * 60 }
    default:
      return { from, to: d.often(0.5) ? null : from + d.between(1.5, 4) * 3_600 }
  }
}

interface House {
  hasB: boolean
  hasHall: boolean
  hasFan: boolean
  hasDoor: boolean
  battery: 'silent' | 'keeps' | 'speaks'
  dryerRestarts: boolean
  heatRestarts: boolean
}

/** The same room told with and without its event: `isBlind` leaves the event out. */
export function tellNight(kind: EventKind | 'quiet', seed: number, isBlind = false): NightScene {
  const d = new Chance(seed)
  const hallBase = d.between(14, 25)
  const hallHumidity = d.between(35, 80)
  const hallSwing = d.between(-2.5, 1)
  const outside = d.between(-2, 24)
  const room = new Room(seed + 77, hallBase)
  const plan = planOf(kind, d)
  const house: House = {
    hasB: d.often(0.67),
    hasHall: d.often(0.75),
    hasFan: d.often(0.5),
    hasDoor: d.often(0.5),
    battery: d.pick(['silent', 'keeps', 'speaks']),
    dryerRestarts: d.often(0.6),
    heatRestarts: d.often(0.6),
  }
  const sensorWay = d.pick(['pinned', 'jump', 'stuck'] as const)
  const jump = { c: d.often(0.5) ? d.pick([-1, 1]) * d.between(1.2, 4) : 0, h: d.pick([-1, 1]) * d.between(8, 25) }
  const shorts = Array.from({ length: Math.floor(d.between(0, 4)) }, () => ({
    from: duskS + d.between(0, 13) * 3_600,
    s: d.between(20, 110),
  }))
  const racksAt = d.often(0.6) ? d.between(0.5, 3.3) * 3_600 : -1
  const defrostEvery = d.often(0.3) ? d.between(2, 5) * 3_600 : 0
  const spikes = d.often(0.3) ? [duskS + d.between(0, 13) * 3_600] : []
  const lossShare = d.often(0.4) ? d.between(0.001, 0.03) : 0
  const digits = [0.01, 0.05, 0.1] as const
  const [aC, bC, hallC] = [0, 1, 2].map(() => probeOf(d, 0.2, d.between(0.01, 0.06), digits)) as [Probe, Probe, Probe]
  const [aH, bH, hallH] = [0, 1, 2].map(() => probeOf(d, 1.2, d.between(0.05, 0.4), [0.1, 0.5, 1])) as [
    Probe,
    Probe,
    Probe,
  ]
  const waxProbes = room.waxes.map(() => probeOf(d, 0.3, d.between(0.02, 0.08), digits))
  for (const p of waxProbes) p.slowS = 20
  const amps = d.between(0.8, 4)
  const tracks: Record<string, Track> = {}
  const put = (name: string, s: number, v: number, keeps: boolean, isCut: boolean, backS: number) => {
    tracks[name] ??= { t: [], v: [], arrivedAt: [] }
    const track = tracks[name]
    if (isCut && !keeps) return
    if (lossShare > 0 && d.often(lossShare)) return
    const t = start + 1_000 * s + Math.floor(d.between(0, 4_000))
    track.t.push(t)
    track.v.push(v)
    track.arrivedAt.push(
      isCut ? start + 1_000 * backS + Math.floor(d.between(500, 20_000)) : t + Math.floor(d.between(50, 900)),
    )
  }
  let [dryerOk, heatOk] = [true, true]
  let stuckAt: [number, number] | null = null
  for (let s = 0; s < endS; s += stepS) {
    const inEvent = !isBlind && plan !== null && s >= plan.from && (plan.to === null || s < plan.to)
    const isCut = inEvent && kind === 'power-cut'
    if (isCut) [dryerOk, heatOk] = [house.dryerRestarts, house.heatRestarts]
    const evening = Math.sin((Math.PI * (s - duskS)) / (14 * 3_600))
    const hall = { c: hallBase + hallSwing * evening, h: hallHumidity }
    const isShort = shorts.some((o) => s >= o.from && s < o.from + o.s)
    const hand: Hand = {
      door: (inEvent && kind === 'door') || isShort ? 1 : 0,
      mains: !isCut,
      dryer: dryerOk && !(inEvent && kind === 'dehumidifier'),
      heatCool: heatOk && !(inEvent && kind === 'cooling-or-heating'),
      fan: !(inEvent && kind === 'fan'),
      defrost: defrostEvery > 0 && s % defrostEvery < 420,
      racks: racksAt >= 0 && s >= racksAt && s < racksAt + 900 ? 1.2 / 3_600 : 0,
      hallC: hall.c,
      hallGrams: 0,
    }
    hand.hallGrams = gramsOf(hall.c, hall.h)
    room.step(hand, outside + 3 * evening)
    const keeps = house.battery !== 'silent'
    const told = house.battery === 'speaks' ? false : isCut
    const backS = (plan?.to ?? s) + 60
    let [c, h] = [read(aC, room.c[0], d), read(aH, room.humidity(0), d)]
    if (inEvent && kind === 'sensor') {
      if (sensorWay === 'pinned') h = 100
      if (sensorWay === 'jump') [c, h] = [c + jump.c, Math.min(100, Math.max(3, h + jump.h))]
      if (sensorWay === 'stuck') {
        stuckAt ??= [c, h]
        ;[c, h] = stuckAt
      }
    }
    if (spikes.some((at) => s >= at && s < at + stepS)) c += 3
    put('a.temperature', s, c, keeps, told, backS)
    put('a.humidity', s, Math.min(100, h), keeps, told, backS)
    if (house.hasB) {
      put('b.temperature', s, read(bC, room.c[1], d), keeps, told, backS)
      put('b.humidity', s, Math.min(100, read(bH, room.humidity(1), d)), keeps, told, backS)
    }
    if (house.hasHall) {
      put('hall.temperature', s, read(hallC, hall.c, d), keeps, told, backS)
      put('hall.humidity', s, Math.min(100, read(hallH, humidityOf(hall.c, hand.hallGrams), d)), keeps, told, backS)
    }
    room.waxes.forEach((w, i) =>
      put(`wax${i}.temperature`, s, read(waxProbes[i] as Probe, w.outer, d), keeps, told, backS),
    )
    if (house.hasFan)
      put('fan.current', s, hand.fan && hand.mains ? amps * (1 + 0.02 * d.normal()) : 0, keeps, told, backS)
    if (house.hasDoor) put('door.contact', s, hand.door > 0 ? 0 : 1, keeps, told, backS)
  }
  const instant = (s: number | null) => (s === null ? null : start + 1_000 * s)
  return {
    kind,
    truth: plan && !isBlind ? { from: start + 1_000 * plan.from, to: instant(plan.to) } : null,
    from: start,
    to: start + 1_000 * endS,
    tracks,
  }
}

/** By how much the event moved what was told, in units of each track's own unrest without it; silence counts as much. */
function movedBy(scene: NightScene, blind: NightScene): number {
  let most = 0
  for (const [name, track] of Object.entries(scene.tracks)) {
    const without = blind.tracks[name]
    if (!without || !scene.truth) continue
    const { from } = scene.truth
    const to = scene.truth.to ?? scene.to
    const inside = (t: number) => t >= from && t < to + 1_800_000
    const mean = (of: Track) => {
      const all = of.v.filter((_, i) => inside(of.t[i] as number))
      return all.reduce((sum, v) => sum + v, 0) / Math.max(1, all.length)
    }
    const quiet = without.v.filter((_, i) => inside(without.t[i] as number))
    const middle = mean(without)
    const unrest = Math.sqrt(quiet.reduce((sum, v) => sum + (v - middle) ** 2, 0) / Math.max(1, quiet.length))
    const floor = name.includes('temperature') ? 0.15 : name.includes('humidity') ? 1 : 0.05
    most = Math.max(most, Math.abs(mean(track) - middle) / Math.max(unrest, floor))
    if (
      track.t.length < 0.99 * without.t.length ||
      track.arrivedAt.some((a, i) => a - (track.t[i] as number) > 120_000)
    )
      most = 99
  }
  return most
}

/** Scenes whose event nobody could see are drawn again; how often is told. */
export function nightScene(
  kind: EventKind | 'quiet',
  seed: number,
  nth: number,
): { scene: NightScene; redrawn: number } {
  for (let redrawn = 0; ; redrawn++) {
    const own = seed * 1_000_003 + nth * 1_009 + redrawn * 31 + eventKinds.indexOf(kind as EventKind) * 7
    const scene = tellNight(kind, own)
    if (kind === 'quiet' || redrawn >= 20 || movedBy(scene, tellNight(kind, own, true)) >= 1.5)
      return { scene, redrawn }
  }
}

export const frozenSeed = 20260701
