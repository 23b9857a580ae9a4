/** Dry rooms: two climate probes side by side. A calm room is no stuck instrument, and one that is stuck, silent or loud is named. */
import { describe, expect, it } from 'vitest'
import type { ExaminedInstrument, ExaminedStation } from '../../shared/judge/examine/index.ts'
import { chance } from '../../simulators/random.ts'
import { beginAt, type Device, kindsOf, play, type Played } from './workbench.ts'

const head = (id: string): ExaminedInstrument => ({ id, kind: 'climate', place: 'room-air', intervalMs: 30_000 })
const station: ExaminedStation = { kind: 'dry-room', instruments: [head('a'), head('b')] }
const lieFrom = beginAt + 40 * 3_600_000

/** A room that swings with its cooling, warms by day and gets its door opened now and then. Invented. */
function room(seed: number, days: number, change: Partial<Device> = {}, step = 0.01): Played {
  const root = chance(seed)
  const acts = root.branch('door')
  let [t, doorC, doorRh] = [beginAt, 0, 0]
  const airC = () => {
    const h = (t - beginAt) / 3_600_000
    return 22 + 0.35 * Math.sin(h * 9) + 0.5 * Math.sin(((h - 9) * Math.PI) / 12) + doorC
  }
  const humid = root.branch('humid')
  const live = (at: number, dtS: number) => {
    t = at
    if (acts.next() < dtS / 9_000) [doorC, doorRh] = [-1.5 * acts.next(), 14 * acts.next()]
    doorC -= (doorC * dtS) / 600
    doorRh -= (doorRh * dtS) / 900
  }
  const honest = (offset: number): Device => ({
    feels: airC,
    lagS: 45,
    noise: 0.02,
    step,
    shows: (c) => c + offset,
    humidity: () => Math.round((45 + doorRh + offset + 0.2 * humid.gauss()) * 10) / 10,
  })
  const devices = [honest(0.1), { ...honest(-0.15), ...change }]
  return play({ station, devices, live, days, chance: root.branch('noise') })
}

describe('a drying room', () => {
  it.each([0.01, 0.1, 0.5])('that is calm is left in peace for ten days, read out in steps of %s °C', (step) => {
    expect(kindsOf(room(3, 10, {}, step))).toEqual([])
  })

  it('has its stuck temperature named, by its companion', () => {
    let held: number | null = null
    const played = room(4, 3, {
      noiseNow: (t) => (t > lieFrom ? 0 : 0.02),
      shows: (c, t) => {
        if (t > lieFrom) held ??= Math.round(c * 100) / 100
        return held ?? c
      },
    })
    expect(kindsOf(played, 'b')).toEqual(['stuck'])
    expect(kindsOf(played, 'a')).toEqual([])
  })

  it('has its stuck humidity named', () => {
    const random = chance(9)
    let [held, n] = [0, 0]
    // From the second day on the same digits, whatever the other sees.
    const played = room(5, 3, {
      humidity: () => {
        n++
        if (n < 5_000) held = Math.round((45 + 0.2 * random.gauss()) * 10) / 10
        return held
      },
    })
    expect(kindsOf(played, 'b')).toEqual(['stuck'])
  })

  it('has a head named whose noise is gone, and one whose noise has grown', () => {
    const noisy = { noise: 0.05, step: 0.001 }
    expect(kindsOf(room(6, 3, { ...noisy, noiseNow: (t) => (t > lieFrom ? 0.001 : 0.05) }), 'b')).toEqual([
      'noise-vanished',
    ])
    expect(kindsOf(room(7, 3, { noiseNow: (t) => (t > lieFrom ? 0.4 : 0.02) }), 'b')).toEqual(['noise-exploded'])
  })

  it('has a head named whose value is pinned at the end of its scale', () => {
    expect(kindsOf(room(8, 3, { noise: 0, shows: (c, t) => (t > lieFrom ? -40 : c) }), 'b')).toEqual(['open-circuit'])
  })
})
