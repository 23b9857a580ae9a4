/** What probes make of a night: their place, lag, noise, digits, drift, and lies. */
import { Chance } from '../lies/chance.ts'
import { saturationPa } from './air.ts'
import type { House } from './house.ts'
import type { Course, Happening, Lie } from './scene.ts'

const at = (row: Float64Array, place: number) => {
  const low = Math.min(row.length - 2, Math.floor(place))
  return row[low]! + (row[low + 1]! - row[low]!) * (place - low)
}

const digits = (v: number, step: number) => Math.round(Math.round(v / step) * step * 1e4) / 1e4

function wetness(lie: Lie & { how: 'wet' }, t: number): number {
  const inTo = (until: number) => 1 - Math.exp(-(Math.min(t, until) - lie.from) / 1_000 / lie.inS)
  return t < lie.to ? inTo(t) : inTo(lie.to) * Math.exp(-(t - lie.to) / 1_000 / lie.backS)
}

/** Air as it passes a probe: °C and Pa at a place of the course. */
export type Passing = (place: number) => { c: number; pa: number; wallC: number }

export function inRoom(course: Course, backShare: number): Passing {
  const mixed = (rows: [Float64Array, Float64Array], place: number) =>
    (1 - backShare) * at(rows[0], place) + backShare * at(rows[1], place)
  return (place) => ({ c: mixed(course.zoneC, place), pa: mixed(course.zonePa, place), wallC: at(course.wallC, place) })
}

/** Near an outer gate the hall's probe meets some outside air. */
export function inHall(course: Course, outsideShare: number): Passing {
  return (place) => {
    const c = (1 - outsideShare) * at(course.hallC, place) + outsideShare * at(course.outsideC, place)
    const pa = (1 - outsideShare) * at(course.hallPa, place) + outsideShare * at(course.outsidePa, place)
    return { c, pa, wallC: c }
  }
}

/** A film that takes up vapour beside a slower thermometer, in one housing that also sees the walls. */
export function climateReader(name: string, passing: Passing, to: number, lie: Lie | null, odd = 0) {
  const c = new Chance(`${name}/climate`)
  const lagS = c.scaled(50, 420)
  const filmS = c.scaled(8, 70)
  const wall = c.between(0, 0.3)
  const noise = [c.scaled(0.006, 0.08), c.scaled(0.03, 0.5)] as const
  const grain = [c.pick([0.01, 0.01, 0.0625, 0.1, 0.1, 0.5]), c.pick([0.01, 0.1, 0.1, 0.5])] as const
  const off = [c.near(0.25, 0.7) + odd * c.between(-2, 2), c.near(1.6, 4) + odd * c.between(-10, 10)] as const
  const drift = [c.near(0.1, 0.3), c.near(0.5, 1.5)] as const
  const spikes = c.often(0.08) ? 0.001 : 0
  const first = passing(0)
  let [feltC, feltPa] = [first.c, first.pa]
  let stuck: [number, number] | null = null
  let before: [number, number] = [0, 0]
  return (t: number, place: number, passedS: number): number[] => {
    const air = passing(place)
    feltC += ((1 - wall) * air.c + wall * air.wallC - feltC) * (1 - Math.exp(-passedS / lagS))
    feltPa += (air.pa - feltPa) * (1 - Math.exp(-passedS / filmS))
    const night = 1 - (to - t) / 72_000_000
    let celsius = feltC + off[0] + drift[0] * night + noise[0] * c.normal()
    let percent = (100 * feltPa) / saturationPa(feltC) + off[1] + drift[1] * night + noise[1] * c.normal()
    const [spikes1, spike] = [c.next(), c.between(-8, 8)]
    if (spikes1 < spikes) percent += spike
    const holds = lie !== null && t >= lie.from && t < lie.to
    if (lie?.how === 'wet' && t >= lie.from) {
      const wet = wetness(lie, t)
      celsius -= wet * lie.coldK
      percent += wet * (lie.humidity - percent)
    }
    if (holds && lie.how === 'shift') {
      celsius += lie.temperatureK
      percent += lie.humidity
    }
    const told: [number, number] = [digits(celsius, grain[0]), digits(Math.min(100, Math.max(0, percent)), grain[1])]
    if (holds && lie.how === 'stuck') {
      stuck ??= before
      if (lie.temperature) told[0] = stuck[0]
      if (lie.humidity) told[1] = stuck[1]
    } else before = told
    return told
  }
}

export function waxReader(name: string, wax: Float64Array) {
  const c = new Chance(`${name}/wax`)
  const [off, noise, grain] = [c.near(0.3, 0.8), c.scaled(0.01, 0.12), c.pick([0.01, 0.1, 0.1, 0.25])]
  return (_t: number, place: number): number[] => [digits(at(wax, place) + off + noise * c.normal(), grain)]
}

export function fanReader(name: string, fan: Float64Array, house: House, event: Happening | null) {
  const c = new Chance(`${name}/fan`)
  const [zero, noise, grain] = [c.between(0, 0.06), c.scaled(0.004, 0.05), c.pick([0.01, 0.01, 0.1])]
  const sags = c.between(0, 0.03)
  return (t: number, place: number): number[] => {
    const sag = 1 + sags * Math.sin(t / 4.1e6) + noise * c.normal()
    const dark = event?.dark != null && t >= event.dark.from && t < event.dark.to
    const share = dark ? 0 : fan[Math.min(fan.length - 1, Math.floor(place))]!
    return [digits(zero + house.fan.amperes * share * sag, grain)]
  }
}

/** 1 shut, 0 open. A contact with a wide magnet does not know a door that is but ajar; a loose one opens for a moment. */
export function contactReader(name: string, door: Float64Array) {
  const c = new Chance(`${name}/contact`)
  const [knowsFrom, loose] = [c.often(0.3) ? c.between(0.08, 0.2) : 0.01, c.often(0.1) ? 0.0015 : 0]
  return (_t: number, place: number): number[] => {
    const shakes = c.next() < loose
    return [door[Math.min(door.length - 1, Math.floor(place))]! > knowsFrom || shakes ? 0 : 1]
  }
}
