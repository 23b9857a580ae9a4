/** When instruments measure, and which of their words arrive, and when: uneven times, lost messages, the mains, backlogs. */
import { Chance } from '../lies/chance.ts'
import type { Course, Stretch, Track } from './scene.ts'

/** How an instrument lives without mains, and how its words travel. */
export interface Carrier {
  onMains: boolean
  keeps: boolean
  bootsMs: number
  networkOnBattery: boolean
  /** Network's return after the mains'. */
  networkMs: number
  intervalMs: number
  jitter: number
  lostShare: number
  /** Quiet for reasons of its own. */
  holes: Stretch[]
}

export function carrierOf(
  c: Chance,
  from: number,
  to: number,
  mainsShare: number,
  network: { onBattery: boolean; ms: number },
): Carrier {
  const holes: Stretch[] = []
  if (c.often(0.18))
    for (let i = c.whole(1, 3); i > 0; i--) {
      const t = c.between(from, to)
      holes.push({ from: t, to: t + c.scaled(2, 9) * 60_000, share: 1 })
    }
  return {
    onMains: c.often(mainsShare),
    keeps: c.often(0.5),
    bootsMs: c.between(5_000, 150_000),
    networkOnBattery: network.onBattery,
    networkMs: network.ms,
    intervalMs: c.pick([30_000, 30_000, 45_000, 60_000, 60_000]),
    jitter: c.pick([0.01, 0.08, 0.3]),
    lostShare: c.scaled(0.0005, 0.03),
    holes,
  }
}

/** When it measures: every interval or so, and at once where `also` says so. */
function timesOf(c: Chance, carrier: Carrier, from: number, to: number, also: readonly number[]): number[] {
  const times = [...also]
  for (
    let t = from + c.next() * carrier.intervalMs;
    t < to;
    t += carrier.intervalMs * (1 + carrier.jitter * c.between(-1, 1))
  )
    times.push(t)
  if (also.length === 0) return times.map(Math.round)
  return [...new Set(times.map(Math.round))].sort((a, b) => a - b)
}

/** Null: it never came. */
function arrivalOf(c: Chance, carrier: Carrier, dark: Stretch | null, t: number): number | null {
  // The same number of draws for every reading, so that a night tells the same noise without its event.
  const [lost, travel, slow] = [c.next(), c.scaled(30, 1_500), c.next()]
  const came = Math.round(t + travel + (slow < 0.004 ? 4_000 + slow * 5e6 : 0))
  if (lost < carrier.lostShare || carrier.holes.some((h) => t >= h.from && t < h.to)) return null
  if (dark === null || t < dark.from) return came
  if (carrier.onMains && t < dark.to + carrier.bootsMs) return null
  const networkBack = carrier.networkOnBattery ? dark.from : dark.to + carrier.networkMs
  if (t >= networkBack) return came
  return carrier.keeps ? Math.round(networkBack + travel + (t - dark.from) / 40) : null
}

/** Tells rows of values that one instrument sends together. */
export function tell(
  name: string,
  carrier: Carrier,
  course: Course,
  to: number,
  dark: Stretch | null,
  also: readonly number[],
  values: (t: number, place: number, passedS: number) => number[],
): Track[] {
  const c = new Chance(`${name}/travel`)
  const tracks: Track[] = []
  let last = course.from - 60_000
  for (const t of timesOf(new Chance(`${name}/times`), carrier, course.from, to, also)) {
    const row = values(t, (t - course.from) / course.stepMs, (t - last) / 1_000)
    last = t
    const arrivedAt = arrivalOf(c, carrier, dark, t)
    if (arrivedAt === null) continue
    row.forEach((v, k) => {
      tracks[k] ??= { t: [], v: [], arrivedAt: [] }
      tracks[k].t.push(t)
      tracks[k].v.push(v)
      tracks[k].arrivedAt.push(arrivedAt)
    })
  }
  return tracks
}
