/** A second, plainer pot: no heat balance, only what is seen of one. It keeps the examiner from being right about the first model alone. Invented. */
import type { ExaminedInstrument, ExaminedStation } from '../../shared/judge/examine/index.ts'
import { type Chance, chance } from '../../simulators/random.ts'
import type { PotNow } from './pots.ts'
import { beginAt, type Device, type Scene } from './workbench.ts'

export interface PlainPlan {
  seed: number
  days: number
  instruments: readonly ExaminedInstrument[]
  device(instrument: ExaminedInstrument, now: PotNow, chance: Chance): Device
  /** Under the lid it sees this share of the wax at once; absent: a lid that warms slowly. */
  lidShare?: number
  /** Held hot over night, under its lid. */
  nightHot?: boolean
  /** Skin comes and goes at once. */
  skinAtOnce?: boolean
  /** How far unstirred layers come to lie apart, °C, and what the controller's ripple is. */
  layersC?: number
  rippleC?: number
  stirEveryH?: number
}

export function plainPotScene(plan: PlainPlan): Scene {
  const root = chance(plan.seed)
  const acts = root.branch('acts')
  const now: PotNow = {
    t: beginAt,
    topC: 21,
    bottomC: 21,
    middleC: 21,
    elementC: 21,
    ambientC: 21,
    lidOn: true,
    skin: 1,
    lidC: 21,
    stirred: false,
  }
  const [layersC, rippleC, stirEveryH] = [plan.layersC ?? 1.5, plan.rippleC ?? 0.6, plan.stirEveryH ?? 1.3]
  let [wax, layers, dip, stirUntil, nextStir, phase] = [21, 0, 0, 0, 0, 0]
  const weekend = (d: number) => d % 7 === 5 || d % 7 === 6
  const live = (t: number, dtS: number) => {
    const s = (t - beginAt) / 1_000
    const d = Math.floor(s / 86_400)
    const h = (s % 86_400) / 3_600
    const rng = root.branch(`day ${d}`)
    const [from, to] = [5 + rng.next(), 16.5 + rng.next()]
    const open = !weekend(d) && h > 7.2 + rng.next() * 0.5 && h < to - 0.3 && !(h > 12 && h < 12.7)
    const on = plan.nightHot ? !weekend(d) || h < 6 : !weekend(d) && h > from && h < to
    const set = h < 10 ? 100 + 14 * rng.next() : h < 13.5 ? 92 : 78 + 4 * rng.next()
    if (open && s > nextStir) {
      stirUntil = s + 150 + 200 * acts.next()
      nextStir = s + stirEveryH * 3_600 * (0.5 + acts.next())
    }
    now.stirred = s < stirUntil
    now.lidOn = !open
    now.ambientC = 21 + 1.5 * Math.sin((h - 9) / 3.8)
    phase += dtS / (500 + 200 * Math.sin(s / 5_000))
    const rate = (wax > 58 && wax < 64 ? 0.25 : 1) * (on ? 1.6 : 0)
    const loss = ((wax - now.ambientC) / (open ? 190 : 330)) * (wax > 58 && wax < 64 ? 0.25 : 1)
    // With the heat on it climbs to its set-point; else it loses to the room. °C a minute.
    if (on && wax < set) wax += (Math.min(rate, (set - wax) * 0.3) * dtS) / 60
    else wax -= (loss * dtS) / 60
    layers +=
      ((now.stirred ? 0 : layersC * Math.min(1, Math.max(0, (wax - 50) / 40))) - layers) *
      (dtS / (now.stirred ? 40 : 900))
    if (open && acts.next() < dtS / (4 * 3_600)) dip = 3 + 4 * acts.next()
    dip -= (dip * dtS) / 240
    const ripple = on && wax > set - 3 ? rippleC * Math.sin(phase * 2 * Math.PI) : 0
    now.t = t
    now.bottomC = wax + layers / 2 + ripple - dip * 0.3
    now.topC = wax - layers / 2 + ripple * 0.7 - dip
    now.middleC = wax + ripple - dip * 0.6
    now.elementC = wax + (on ? (wax < set - 1 ? 60 : 25 + 25 * Math.sign(Math.sin(phase * 2 * Math.PI))) : 0)
    const target = now.stirred ? 0 : 1
    now.skin = plan.skinAtOnce ? target : now.skin + ((target - now.skin) * dtS) / (now.stirred ? 20 : 400)
    const lid = now.ambientC + (plan.lidShare ?? 0.5) * (now.topC - now.ambientC)
    now.lidC = plan.lidShare === undefined ? now.lidC + ((lid - now.lidC) * dtS) / 600 : lid
  }
  const devices = plan.instruments.map((i, k) => plan.device(i, now, root.branch(`device ${k}`)))
  const station: ExaminedStation = { kind: 'pot', instruments: plan.instruments }
  return { station, devices, live, days: plan.days, chance: root.branch('noise') }
}
