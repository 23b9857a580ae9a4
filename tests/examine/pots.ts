/** Pots for the workbench: a working day of melting, coats, stirring, top-ups and lids over the demo's own pot, and probes that can lie. Invented. */
import type { ExaminedInstrument, ExaminedStation } from '../../shared/judge/examine/index.ts'
import { indicationC } from '../../shared/physics/infrared.ts'
import { bottomC, potAt, potFor, stepWaxPot, topC, type WaxPotState } from '../../simulators/bodies/wax-pot.ts'
import { type Chance, chance } from '../../simulators/random.ts'
import { beginAt, type Device, type Scene } from './workbench.ts'

/** What goes on at the pot: changed by the day, read by the devices. */
export interface PotNow {
  t: number
  topC: number
  bottomC: number
  middleC: number
  elementC: number
  ambientC: number
  lidOn: boolean
  /** How far the skin has formed, 0…1. */
  skin: number
  lidC: number
  stirred: boolean
}

export interface PotPlan {
  seed: number
  days: number
  waxKg: number
  heaterW: number
  instruments: readonly ExaminedInstrument[]
  device(instrument: ExaminedInstrument, now: PotNow, chance: Chance): Device
  /** Stirring can be left out. */
  stirs?: boolean
}

interface Day {
  onAt: number
  offAt: number
  lidOffAt: number
  lidOnAt: number
  setC: readonly [number, number, number]
}

function dayOf(chance: Chance): Day {
  const h = (hour: number, spread: number) => (hour + spread * (chance.next() - 0.5)) * 3_600
  const hot = 104 + 10 * chance.next()
  return {
    onAt: h(5, 1),
    lidOffAt: h(7.5, 1),
    lidOnAt: h(16.5, 1),
    offAt: h(17, 1),
    setC: [hot, hot - 12 - 4 * chance.next(), hot - 24 - 6 * chance.next()],
  }
}

/** A pot's life: on at five, lid off at half past seven, three set-points through the day, a stir now and then, off at five. */
export function potScene(plan: PotPlan): Scene {
  const root = chance(plan.seed)
  const pot = potFor(plan.waxKg, plan.heaterW)
  let state: WaxPotState = potAt(pot, 22)
  const days = Array.from({ length: plan.days + 1 }, (_, d) => dayOf(root.branch(`day ${d}`)))
  const acts = root.branch('acts')
  let stirUntil = 0
  let nextStir = 0
  const now: PotNow = {
    t: beginAt,
    topC: 22,
    bottomC: 22,
    middleC: 22,
    elementC: 22,
    ambientC: 22,
    lidOn: true,
    skin: 1,
    lidC: 22,
    stirred: false,
  }
  const live = (t: number, dtS: number) => {
    const s = (t - beginAt) / 1_000
    const day = days[Math.floor(s / 86_400)] as Day
    const clock = s % 86_400
    const on = clock >= day.onAt && clock < day.offAt
    const set = clock < 10.5 * 3_600 ? day.setC[0] : clock < 14 * 3_600 ? day.setC[1] : day.setC[2]
    const working = clock >= day.lidOffAt && clock < day.lidOnAt
    if (working && plan.stirs !== false && s >= nextStir) {
      stirUntil = s + 120 + 240 * acts.next()
      nextStir = s + 2_400 + 5_400 * acts.next()
    }
    now.stirred = s < stirUntil
    now.lidOn = !working
    now.ambientC = 21.5 + 1.5 * Math.sin(((clock / 3_600 - 9) * Math.PI) / 12)
    const controls = {
      on,
      setPointC: set,
      lidOn: now.lidOn,
      stirred: now.stirred,
      ambientC: now.ambientC,
      mains: true,
      welded: false,
    }
    state = stepWaxPot(pot, state, controls, dtS)
    // A top-up: cold wax takes its heat mostly from the top.
    if (working && acts.next() < dtS / (5 * 3_600))
      state = { ...state, topJ: state.topJ * (1 - 0.03 - 0.04 * acts.next()) }
    now.t = t
    now.topC = topC(pot, state)
    now.bottomC = bottomC(pot, state)
    now.middleC = (now.topC + now.bottomC) / 2
    now.elementC = state.elementC
    now.skin = now.stirred ? 0 : now.skin + ((1 - now.skin) * dtS) / 400
    now.lidC += ((now.ambientC + 0.5 * (now.topC - now.ambientC) - now.lidC) * dtS) / 700
  }
  const devices = plan.instruments.map((i, k) => plan.device(i, now, root.branch(`device ${k}`)))
  const station: ExaminedStation = { kind: 'pot', instruments: plan.instruments }
  return { station, devices, live, days: plan.days, chance: root.branch('noise') }
}

export function probe(id: string, place: 'wax-top' | 'wax-middle' | 'wax-bottom'): ExaminedInstrument {
  return { id, kind: 'thermocouple', place, thermocouple: 'K', intervalMs: 5_000 }
}
export const infrared = (id: string): ExaminedInstrument => ({
  id,
  kind: 'infrared',
  place: 'wax-surface',
  intervalMs: 5_000,
  infrared: { setEmissivity: 0.95, compensatedC: 22, reflectedC: 22 },
})

export function depthC(instrument: ExaminedInstrument, now: PotNow): number {
  return instrument.place === 'wax-top' ? now.topC : instrument.place === 'wax-bottom' ? now.bottomC : now.middleC
}

/** Honest: an offset within class 1, half constant and half a share, some lag and noise. */
export function honestProbe(instrument: ExaminedInstrument, now: PotNow, chance: Chance): Device {
  const offset = 0.7 * chance.gauss()
  const share = 0.003 * chance.gauss()
  return {
    feels: () => depthC(instrument, now),
    lagS: 8 + 12 * chance.next(),
    noise: 0.03 + 0.1 * chance.next(),
    step: chance.next() < 0.3 ? 0.5 : 0.1,
    shows: (c) => c + offset + share * (c - 22),
  }
}

/** What an infrared instrument would show of a wax with this emissivity and skin. */
export function seenC(now: PotNow, emissivity: number, skinC: number): number {
  const surfaceC = now.lidOn ? now.lidC : now.topC - skinC * (0.2 + 0.8 * now.skin) * ((now.topC - now.ambientC) / 80)
  const shown = indicationC(
    { setEmissivity: 0.95, compensatedC: 22, emissivity: now.lidOn ? 0.85 : emissivity, reflectedC: now.ambientC },
    surfaceC,
  )
  return typeof shown === 'number' ? shown : now.ambientC
}

export function honestInfrared(_: ExaminedInstrument, now: PotNow, chance: Chance): Device {
  const emissivity = 0.95 - 0.008 * chance.next()
  const skin = 1.3 * chance.next()
  const offset = 0.4 * chance.gauss()
  return { feels: () => seenC(now, emissivity, skin), lagS: 1, noise: 0.15, step: 0.1, shows: (c) => c + offset }
}
