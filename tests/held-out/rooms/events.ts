/** The one event of a night: what it is, how large, how long, and what comes of it. */
import { Chance } from '../lies/chance.ts'
import type { House } from './house.ts'
import { type EventKind, type Happening, type Lie, type Machine, machines, type Stretch } from './scene.ts'

const hourMs = 3_600_000
const minuteMs = 60_000

/** Noon is five and a half hours before dusk. */
const duskAfterMs = 5.5 * hourMs

interface Night {
  from: number
  to: number
}

const spent = (ms: number) =>
  ms < 90 * minuteMs ? `${Math.round(ms / minuteMs)} min` : `${(ms / hourMs).toFixed(1)} h`

/** Until when, of so many hours; Infinity where nobody mends it before the night is over. */
function endOf(c: Chance, night: Night, from: number, leastH: number, mostH: number, toTheEnd: number): number {
  const hours = c.scaled(leastH, mostH)
  const lasts = c.often(toTheEnd)
  const to = from + hours * hourMs
  return lasts || to >= night.to - 10 * minuteMs ? Number.POSITIVE_INFINITY : to
}

const known = (to: number) => (to === Number.POSITIVE_INFINITY ? null : Math.round(to))
const lasting = (from: number, to: number) =>
  to === Number.POSITIVE_INFINITY ? 'to the end' : `for ${spent(to - from)}`

function door(c: Chance, night: Night, from: number, e: Happening): void {
  const to = endOf(c, night, from, 8 / 60, 5, 0.08)
  const share = c.scaled(0.07, 1)
  e.doors.push({ from, to, share })
  const told = `The door stood open by ${Math.round(share * 100)} % ${lasting(from, to)}`
  e.truth = { from, to: known(to), told }
}

function dehumidifier(c: Chance, night: Night, from: number, e: Happening): void {
  const to = endOf(c, night, from, 1.5, 9, 0.5)
  const ices = c.often(0.3)
  const stretch: Stretch = { from, to, share: ices ? c.between(0.8, 1) : 1 }
  if (ices) stretch.rampS = c.scaled(900, 5_400)
  e.missing.dehumidifier.push(stretch)
  const told = `The dehumidifier ${ices ? 'iced up' : c.pick(['tripped', 'stopped with a full bucket'])} ${lasting(from, to)}`
  e.truth = { from, to: known(to), told }
}

function thermal(c: Chance, night: Night, from: number, e: Happening, what: 'cooling' | 'heating'): void {
  const to = endOf(c, night, from, 0.75, 7, 0.45)
  const share = c.often(0.8) ? 1 : c.between(0.6, 1)
  e.missing[what].push({ from, to, share })
  e.truth = { from, to: known(to), told: `${what} lost ${Math.round(share * 100)} % of its power ${lasting(from, to)}` }
}

function fan(c: Chance, night: Night, from: number, e: Happening, house: House): void {
  const to = endOf(c, night, from, 0.6, 8, 0.55)
  const { units } = house.fan
  const stopped = units > 1 && c.often(0.3) ? c.whole(1, units - 1) : units
  e.missing.fan.push({ from, to, share: stopped / units })
  e.truth = { from, to: known(to), told: `${stopped} of ${units} air movers stopped ${lasting(from, to)}` }
}

function powerCut(c: Chance, night: Night, from: number, e: Happening, house: House): void {
  const to = from + c.scaled(5, 90) * minuteMs
  e.dark = { from, to, share: 1 }
  const someoneAt = night.to - c.between(0.4, 1.6) * hourMs
  const comes = c.often(0.5)
  const restarts: Record<Machine, number> = { fan: 0.85, heating: 0.8, cooling: 0.65, dehumidifier: 0.5 }
  const present: Record<Machine, boolean> = {
    fan: true,
    heating: house.heating.watts > 0,
    cooling: house.cooling.watts > 0,
    dehumidifier: house.dehumidifier.has,
  }
  const stayed: string[] = []
  for (const m of machines) {
    const comesBack = c.often(restarts[m])
    const waits = m === 'fan' ? c.between(0, 20) : c.between(20, 360)
    const later = comes ? someoneAt + c.between(0, 300) * 1_000 : Number.POSITIVE_INFINITY
    e.missing[m].push({ from, to: comesBack ? to + waits * 1_000 : later, share: 1 })
    if (!comesBack && present[m]) stayed.push(m)
  }
  const after =
    stayed.length === 0
      ? 'everything restarted'
      : `${stayed.join(', ')} stayed off${comes ? ' until somebody came' : ''}`
  e.truth = { from, to: Math.round(to), told: `No mains ${lasting(from, to)}; ${after}` }
}

function sensor(c: Chance, night: Night, from: number, e: Happening): void {
  const how = c.pick(['wet', 'stuck', 'shift'] as const)
  let to = endOf(c, night, from, 0.7, 8, how === 'shift' ? 0.85 : 0.5)
  let lie: Lie
  if (how === 'wet') {
    const backS = c.scaled(400, 2_400)
    if (to + 3 * backS * 1_000 >= night.to) to = Number.POSITIVE_INFINITY
    lie = { from, to, how, humidity: c.between(97, 101), inS: c.scaled(30, 700), backS, coldK: c.between(0, 1.5) }
  } else if (how === 'stuck') {
    const part = c.next()
    lie = { from, to, how, temperature: part < 0.8, humidity: part < 0.55 || part >= 0.8 }
  } else {
    const sign = () => (c.often(0.5) ? 1 : -1)
    const part = c.next()
    const [warm, damp] = [sign() * c.scaled(0.3, 3), sign() * c.scaled(2.5, 15)]
    lie = { from, to, how, temperatureK: part < 0.65 ? warm : 0, humidity: part > 0.35 ? damp : 0 }
  }
  e.lie = lie
  const told = {
    wet: 'The leading probe got wet and stayed near its top',
    stuck: `The leading probe stuck at its last ${lie.how === 'stuck' && !lie.temperature ? 'humidity' : lie.how === 'stuck' && !lie.humidity ? 'temperature' : 'values'}`,
    shift: `The leading probe was knocked${lie.how === 'shift' ? ` by ${lie.temperatureK.toFixed(1)} K and ${lie.humidity.toFixed(1)} %` : ''}`,
  }[how]
  // A wet probe lies until it has all but dried.
  const ends = lie.how === 'wet' ? to + 3 * lie.backS * 1_000 : to
  e.truth = { from, to: known(ends), told: `${told} ${lasting(from, ends)}` }
}

export function happeningOf(name: string, kind: EventKind, house: House, night: Night): Happening {
  const c = new Chance(`${name}/event`)
  const from = Math.round(night.from + duskAfterMs + c.between(1, 10) * hourMs)
  const e: Happening = {
    truth: { from, to: null, told: '' },
    doors: [],
    missing: { dehumidifier: [], cooling: [], heating: [], fan: [] },
    dark: null,
    lie: null,
  }
  if (kind === 'door') door(c, night, from, e)
  else if (kind === 'dehumidifier') dehumidifier(c, night, from, e)
  else if (kind === 'fan') fan(c, night, from, e, house)
  else if (kind === 'power-cut') powerCut(c, night, from, e, house)
  else if (kind === 'sensor') sensor(c, night, from, e)
  else thermal(c, night, from, e, kind)
  return e
}
