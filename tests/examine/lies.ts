/** The lies of the trade, told by the workbench's devices: what each of them feels or makes of what it feels. Sizes as the trade reports them, the rest invented. */
import type { DoubtKind } from '../../shared/contract/index.ts'
import type { ThermocoupleType } from '../../shared/physics/its90.ts'
import { bandRadiance, temperatureOfRadianceC } from '../../shared/physics/radiance.ts'
import { emfMv, temperatureOfEmfC } from '../../shared/physics/thermocouple.ts'
import type { Chance } from '../../simulators/random.ts'
import type { KilnNow } from './kilns.ts'
import { type PotNow, seenC } from './pots.ts'
import { beginAt, type Device } from './workbench.ts'

type Part = Partial<Device>
export type PotLie = (now: PotNow, chance: Chance, seed: number) => Part
export type KilnLie = (now: KilnNow, chance: Chance, seed: number) => Part

const hours = (h: number): number => beginAt + h * 3_600_000
const terminalsC = 25
const mv = (type: ThermocoupleType, c: number): number => emfMv(type, c) as number

/** A wire of one type, read as if it were type K. */
function readAsK(type: ThermocoupleType, c: number): number | null {
  return temperatureOfEmfC('K', mv(type, c) - mv(type, terminalsC) + mv('K', terminalsC))
}

/** Both leads changed over: it shows as far below its terminals as it is above them, down to the end of its table. */
function reversed(c: number): number | null {
  return temperatureOfEmfC('K', Math.max(-6.4, 2 * mv('K', terminalsC) - mv('K', c)))
}

function mixedC(share: number, a: number, b: number): number {
  return temperatureOfRadianceC(
    share * (bandRadiance(a) as number) + (1 - share) * (bandRadiance(b) as number),
  ) as number
}

/** From an hour on, the value that it had then. */
function heldFrom(at: number, noise: number): Part {
  let held: number | null = null
  return {
    step: 0.1,
    noiseNow: (t) => (t > at ? 0 : noise),
    shows: (c, t) => {
      if (t > at) held ??= Math.round(c * 10) / 10
      return held ?? c
    },
  }
}

export const infraredLies: Partial<Record<DoubtKind, PotLie>> = {
  emissivity: (now, c) => {
    // What 0.90 to 0.92 makes is lost among honest offsets within days; these are told.
    const [e, skinC] = [0.84 + 0.03 * c.next(), 1.2 * c.next()]
    return { feels: () => seenC(now, e, skinC) }
  },
  'sees-metal': (now, c) => {
    const e = 0.1 + 0.2 * c.next()
    return { feels: () => seenC({ ...now, lidOn: false }, e, 0.3) }
  },
  'spot-too-large': (now, c) => {
    const share = 0.5 + 0.3 * c.next()
    const rimC = () => now.ambientC + 0.12 * (now.topC - now.ambientC)
    return { feels: () => mixedC(share, seenC(now, 0.945, 1), rimC()) }
  },
  'sees-skin': (now, c) => {
    const skinC = 3.5 + 4 * c.next()
    return { feels: () => seenC(now, 0.945, skinC) }
  },
  blind: (now, c) => {
    let vapourC = 60
    return {
      feels: () => {
        vapourC += 0.01 * (now.ambientC + 25 - vapourC) + 0.3 * c.gauss()
        return vapourC
      },
    }
  },
  stuck: (_, __, seed) => heldFrom(hours(40 + seed), 0.15),
  'noise-vanished': () => ({ step: 0.01, noiseNow: (t) => (t > hours(34) ? 0.004 : 0.15) }),
  'clock-apart': (_, c, seed) => ({ clockMs: (seed % 2 ? 1 : -1) * (6 + 6 * c.next()) * 60_000 }),
}

export const probeLies: Partial<Record<DoubtKind, PotLie>> = {
  'at-the-wall': (now, c) => {
    const touch = 0.25 + 0.35 * c.next()
    return { feels: () => now.middleC + touch * (now.elementC - now.middleC) }
  },
  'out-of-wax': (now, c) => {
    const share = 0.1 + 0.3 * c.next()
    const airC = () => now.ambientC + share * (now.topC - now.ambientC) + 0.5 * c.gauss()
    return { feels: () => (now.t > hours(33) ? airC() : now.middleC) }
  },
  'in-solid': (now) => {
    let [plugC, hotSince] = [22, Infinity]
    return {
      feels: () => {
        if (now.bottomC < 45) [plugC, hotSince] = [now.middleC, Infinity]
        else if (now.bottomC > 68) hotSince = Math.min(hotSince, now.t)
        // Forty minutes over hot wax, then it is through.
        const through = now.t - hotSince > 40 * 60_000
        plugC += (through ? 0.02 : 0.0003) * (now.middleC - plugC)
        return plugC
      },
    }
  },
  reversed: () => ({ shows: reversed }),
  'open-circuit': (_, __, seed) => {
    const open = [1_372, -270, Number.NaN, null][seed % 4] as number | null
    return { noise: 0, shows: (c, t) => (t > hours(40) ? open : c) }
  },
  stuck: (_, __, seed) => heldFrom(hours(40 + seed), 0.08),
  'noise-exploded': () => ({ noiseNow: (t) => (t > hours(34) ? 0.8 : 0.08) }),
  'clock-apart': (_, c, seed) => ({ clockMs: (seed % 2 ? 1 : -1) * (6 + 6 * c.next()) * 60_000 }),
}

/** Beside a second probe: an infrared instrument alone cannot tell a high reading from its own low one. */
export const wrongTypeOf =
  (type: ThermocoupleType): PotLie =>
  () => ({ shows: (c) => readAsK(type, c) })

export const wireLies: Partial<Record<DoubtKind, KilnLie>> = {
  ordering: (now) => ({
    // A published table at 350 °C (0.9 °C after 5 min, 1.9 after 45, 3.7 after 7 h) lies near this logarithm.
    shows: (c) => c + (now.restH > 0 ? Math.max(0, 0.9 + 0.806 * Math.log((now.restH * 60) / 5)) : 0),
  }),
  ageing: (now, _, seed) => ({ shows: (c) => c - ((0.6 + 0.4 * (seed % 2)) * now.firing * c) / 700 }),
  moved: (now, _, seed) => ({ shows: (c) => c - (now.firing >= 5 ? ((10 + 8 * (seed % 4)) * c) / 700 : 0) }),
  reversed: () => ({ shows: reversed }),
  'wrong-type': (_, __, seed) => ({
    shows: (c) => readAsK((['N', 'J', 'S'] as const)[seed % 3] as ThermocoupleType, c),
  }),
  'open-circuit': (_, __, seed) => ({
    noise: 0,
    shows: (c, t) => (t > hours(40) ? (seed % 2 ? 1_372 : Number.NaN) : c),
  }),
  stuck: (_, __, seed) => heldFrom(hours(31 + seed), 0.2),
  'noise-vanished': () => ({ step: 0.01, noiseNow: (t) => (t > hours(60) ? 0.005 : 0.2) }),
  'noise-exploded': () => ({ step: 0.1, noiseNow: (t) => (t > hours(60) ? 2 : 0.2) }),
  'clock-apart': (_, __, seed) => ({ clockMs: (seed % 2 ? 1 : -1) * (3 + seed) * 60_000 }),
}
