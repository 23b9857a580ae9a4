/** A workbench for the examiner: lets a station live with instruments that can lie, and notes every doubt that was told. All numbers invented. */
import type { DoubtKind } from '../../shared/contract/index.ts'
import {
  type Examination,
  type ExaminedStation,
  examineReading,
  examineTime,
  newExamination,
} from '../../shared/judge/examine/index.ts'
import { follow, quantise } from '../../simulators/probes/sensing.ts'
import type { Chance } from '../../simulators/random.ts'

export const beginAt = Date.UTC(2026, 2, 2, 0, 0, 0)

/** One instrument of a scene: what it feels, and what it makes of it. */
export interface Device {
  /** What it is surrounded by now, °C. */
  feels(): number
  lagS: number
  noise: number
  step: number
  /** What is shown for what is felt: its honest tolerance, or its lie. Null: no message. */
  shows?(feltC: number, t: number): number | null
  /** Noise as it is now, where that changes. */
  noiseNow?(t: number): number
  clockMs?: number
  humidity?(): number
}

export interface Told {
  kind: DoubtKind
  instrument: string
  at: number
  evidence: string
}

export interface Played {
  told: Told[]
  exam: Examination
  readings: number
}

export interface Scene {
  station: ExaminedStation
  devices: readonly Device[]
  /** Lets the world go on by so many seconds, up to `t`. */
  live(t: number, dtS: number): void
  days: number
  chance: Chance
}

const stepS = 5

/** Plays a scene from its first minute to its last. */
export function play(scene: Scene): Played {
  const { station, devices } = scene
  let exam = newExamination(station)
  const told: Told[] = []
  const elements: number[] = devices.map((d) => d.feels())
  const chances = devices.map((_, i) => scene.chance.branch(`noise ${i}`))
  const known = new Set<string>()
  let readings = 0
  const end = scene.days * 86_400
  for (let s = stepS; s <= end; s += stepS) {
    const t = beginAt + s * 1_000
    scene.live(t, stepS)
    devices.forEach((device, i) => {
      elements[i] = follow(elements[i] as number, device.feels(), stepS, device.lagS)
      const every = (station.instruments[i] as { intervalMs: number }).intervalMs / 1_000
      if (s % every !== 0) return
      const shown = device.shows ? device.shows(elements[i] as number, t) : (elements[i] as number)
      if (shown === null) return
      const noise = device.noiseNow ? device.noiseNow(t) : device.noise
      const value = quantise(shown + noise * (chances[i] as Chance).gauss(), device.step)
      readings++
      exam = examineReading(station, exam, i, 'temperature', t + (device.clockMs ?? 0), value)
      if (device.humidity) exam = examineReading(station, exam, i, 'humidity', t, device.humidity())
    })
    if (s % 60 === 0) exam = examineTime(station, exam, t)
    for (const doubt of exam.doubts) {
      const key = `${doubt.kind} ${doubt.instrument} ${doubt.since}`
      if (known.has(key)) continue
      known.add(key)
      const evidence = doubt.evidence.map((e) => `${e.what} ${e.value.toFixed(3)}`).join(', ')
      told.push({ kind: doubt.kind, instrument: doubt.instrument, at: t, evidence })
    }
  }
  return { told, exam, readings }
}

/** The kinds that were told of one instrument, in order, each once. */
export function kindsOf({ told }: Played, instrument?: string): string[] {
  const kinds = told.filter((d) => instrument === undefined || d.instrument === instrument).map((d) => d.kind)
  return [...new Set(kinds)]
}
