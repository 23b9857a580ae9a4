/** Runs a world and lets its instruments speak: the one loop behind every scene. */
import type { DoubtKind } from '../../../shared/contract/doubt.ts'
import type { Quantity } from '../../../shared/contract/quantity.ts'
import type { EpochMs } from '../../../shared/time.ts'
import { Chance, seedOf } from './chance.ts'
import type { Span } from './course.ts'
import type { LieScene, SceneInstrument, SceneReading, SceneTruth } from './shape.ts'
import { type Fault, Sensor, type SensorMake } from './sensor.ts'

/** Something with temperatures that moves in time. `tS` is counted from the beginning of the scene. */
export interface World {
  advance(dtS: number, tS: number): void
}

/** One quantity of one instrument: what its tip is exposed to, and what it makes of it. */
export interface Voice<W extends World> {
  quantity: Quantity
  sees(world: W, tS: number): number
  make: SensorMake
  fault?: Fault
}

export interface Gauge<W extends World> {
  is: SceneInstrument
  voices: readonly Voice<W>[]
  /** How unevenly it speaks, as a share of its interval, and how often a reading is lost. */
  jitter: number
  missing: number
  /** Its clock less the true time, s. */
  clockS?(tS: number): number
  silent?(tS: number): boolean
}

export interface Plan<W extends World> {
  id: string
  class: string
  stationKind: LieScene['station']['kind']
  startMs: EpochMs
  durationS: number
  /** Of the world; readings are taken at its end. */
  stepS: number
  world(): W
  gauges: readonly Gauge<W>[]
  truth: readonly SceneTruth[]
}

const monthS = 30 * 86_400

/** Of what measures, while it speaks: a contact and a night switched off count for nothing. */
function months<W extends World>({ gauges, durationS }: Plan<W>): number {
  let heardS = 0
  for (const { is, silent } of gauges) {
    if (is.kind === 'contact' || is.kind === 'current') continue
    for (let tS = 300; tS < durationS + 300; tS += 600) if (!silent?.(tS)) heardS += Math.min(600, durationS - tS + 300)
  }
  return heardS / monthS
}

export function sceneOf<W extends World>(made: Plan<W>): LieScene {
  // The one that lies is made first; it shall not be known by its place.
  const plan = seedOf(made.id) % 2 === 0 ? made : { ...made, gauges: [...made.gauges].reverse() }
  const clocksDiffer = plan.gauges.some(({ clockS }) => clockS !== undefined)
  return {
    id: plan.id,
    class: plan.class,
    station: { kind: plan.stationKind, instruments: plan.gauges.map(({ is }) => is) },
    readings: () =>
      clocksDiffer ? [...spoken(plan)].sort((a, b) => a.t - b.t || a.instrument - b.instrument) : spoken(plan),
    truth: plan.truth,
    months: months(plan),
  }
}

/** In rising true time. */
function* spoken<W extends World>(plan: Plan<W>): Generator<SceneReading> {
  const world = plan.world()
  const mouths = plan.gauges.map((gauge, index) => new Mouth(gauge, index, plan))
  const said: SceneReading[] = []
  for (let tS = plan.stepS; tS <= plan.durationS; tS += plan.stepS) {
    world.advance(plan.stepS, tS)
    for (const mouth of mouths) mouth.speak(world, tS, said)
    if (said.length > 1) said.sort((a, b) => a.t - b.t)
    yield* said
    said.length = 0
  }
}

class Mouth<W extends World> {
  readonly #gauge: Gauge<W>
  readonly #index: number
  readonly #startMs: EpochMs
  readonly #chance: Chance
  readonly #sensors: readonly Sensor[]
  readonly #phaseS: number
  #count = 0
  #dueS: number
  #lostUntilS = -1

  constructor(gauge: Gauge<W>, index: number, { id, startMs }: Plan<W>) {
    this.#gauge = gauge
    this.#index = index
    this.#startMs = startMs
    this.#chance = new Chance(`${id}#${index}`)
    this.#sensors = gauge.voices.map(({ make, fault }) => new Sensor(make, fault, this.#chance))
    this.#phaseS = this.#chance.next() * this.#everyS
    this.#dueS = this.#phaseS
  }

  get #everyS(): number {
    return this.#gauge.is.intervalMs / 1_000
  }

  speak(world: W, tS: number, said: SceneReading[]): void {
    while (this.#dueS <= tS) {
      const atS = this.#dueS
      this.#count++
      this.#dueS = this.#phaseS + this.#everyS * (this.#count + this.#gauge.jitter * this.#chance.next())
      if (this.#gauge.silent?.(atS)) continue
      const t = this.#startMs + Math.round((atS + (this.#gauge.clockS?.(atS) ?? 0)) * 1_000)
      const heard = !this.#isLost(atS)
      this.#gauge.voices.forEach(({ quantity, sees }, i) => {
        const value = this.#sensors[i]!.read(sees(world, atS), atS)
        if (heard) said.push({ t, instrument: this.#index, quantity, value })
      })
    }
  }

  /** Single readings go astray, and now and then the air is bad for some minutes. */
  #isLost(atS: number): boolean {
    if (atS < this.#lostUntilS) return true
    if (this.#gauge.missing === 0 || !this.#chance.often(this.#gauge.missing)) return false
    if (this.#chance.often(0.05)) this.#lostUntilS = atS + this.#chance.scaled(20, 400)
    return true
  }
}

/** One thing to look for in a body: it begins at `on`, ends below `off`, and counts where it lasts `leastS`. */
export interface Watch<W extends World> {
  size(world: W, tS: number): number
  on: number
  off: number
  leastS: number
}

type Found = [fromS: number, toS: number][]

/** All of them in one run of the body. */
export function spansOfAll<W extends World>(
  plan: { world(): W; durationS: number },
  watches: readonly Watch<W>[],
  stepS: number,
): Found[] {
  const world = plan.world()
  const found = watches.map((): Found => [])
  const since = watches.map(() => -1)
  const look = (tS: number, i: number, now: number): void => {
    const { on, off, leastS } = watches[i]!
    if (since[i]! < 0 && now >= on) since[i] = tS
    else if (since[i]! >= 0 && now < off) {
      if (tS - since[i]! >= leastS) found[i]!.push([since[i]!, tS])
      since[i] = -1
    }
  }
  for (let tS = stepS; tS <= plan.durationS; tS += stepS) {
    world.advance(stepS, tS)
    for (let i = 0; i < watches.length; i++) look(tS, i, watches[i]!.size(world, tS))
  }
  for (let i = 0; i < watches.length; i++) look(plan.durationS, i, Number.NEGATIVE_INFINITY)
  return found
}

export function spansOf<W extends World>(
  plan: { world(): W; durationS: number },
  size: Watch<W>['size'],
  { stepS, ...limits }: { on: number; off: number; stepS: number; leastS: number },
): Found {
  return spansOfAll(plan, [{ size, ...limits }], stepS)[0]!
}

/** The mean of something over part of a scene. */
export function meanOver<W extends World>(
  plan: { world(): W },
  size: (world: W, tS: number) => number,
  { fromS, toS, stepS }: { fromS: number; toS: number; stepS: number },
): number {
  const world = plan.world()
  let sum = 0
  let count = 0
  for (let tS = stepS; tS <= toS; tS += stepS) {
    world.advance(stepS, tS)
    if (tS < fromS) continue
    sum += size(world, tS)
    count++
  }
  return count === 0 ? 0 : sum / count
}

/** From s of the scene to true times. */
export function truthOf(
  f: { startMs: number },
  kind: DoubtKind,
  instrument: string,
  [fromS, toS]: Span,
  or?: string,
): SceneTruth {
  const part = {
    kind,
    instrument,
    from: Math.round(f.startMs + fromS * 1_000),
    to: Math.round(f.startMs + toS * 1_000),
  }
  return or === undefined ? part : { ...part, or }
}
