/** Held-out burnouts: kilns with layered walls, slabs of many thicknesses, controllers and people with habits of their own. */
import type { Recipe } from '../../../shared/contract/index.ts'
import { Chance } from '../lies/chance.ts'
import { Kiln, type KilnSpec, type LoadSpec } from './body.ts'
import { creditedAndReady } from './credited.ts'
import type { BurnoutSample, BurnoutScene, KilnStory } from './scene.ts'

/** Frozen on 2026-11-27, before the forecast was tuned. Whoever tunes does it on other seeds; what this one makes is only measured on. */
export const frozenSeed = 20_260_501
export const kilnsAsked = 40
const learning = 5
const asked = 5
const stepS = 20
const hour = 3_600
const begun = Date.parse('2026-03-02T06:00:00Z')

interface Habits {
  kiln: KilnSpec
  kind: 'shell' | 'solid'
  intervalS: number
  /** Part of its first power that a heater has lost after each burnout. */
  ageing: number
  /** Set-point − asked, and probe − true, °C. */
  setC: number
  airOffC: number
  loadOffC: number
  noiseC: number
  /** Whether somebody lets the kiln go when the credit is full, or the controller by its clock. */
  listens: boolean
  patienceS: number
  opens: number
  /** Share of burnouts that begin in a kiln still warm. */
  warm: number
  wet: number
}

function habitsOf(c: Chance): Habits {
  const kind = c.often(0.3) ? 'shell' : 'solid'
  const insideM2 = c.between(2, 7)
  return {
    kind,
    kiln: {
      insideM2,
      wallM: c.between(0.12, 0.25),
      wallWPerMK: c.between(0.12, 0.3),
      wallRise: c.between(0.02, 0.06),
      wallJPerM3K: c.between(4e5, 9e5),
      heaterW: insideM2 * c.between(3_500, 7_000) * (kind === 'shell' ? 2.2 : 1),
      airJPerK: insideM2 * c.between(6_000, 14_000),
      doorWPerK: insideM2 * c.between(15, 45),
      yardC: c.between(12, 28),
    },
    intervalS: c.pick([20, 60, 60]),
    ageing: c.between(0, 0.008),
    setC: c.near(0, 3),
    airOffC: c.near(0, 2.5),
    loadOffC: c.near(0, 3),
    noiseC: c.between(0.2, 1.2),
    listens: c.often(0.6),
    patienceS: c.between(120, 1_500),
    opens: c.pick([0, 1, 3]),
    warm: c.between(0, 0.3),
    wet: c.pick([0, 0.3, 0.9]),
  }
}

type Burnout = Extract<Recipe, { kind: 'burnout' }>

function recipeOf(c: Chance, h: Habits, id: string): Omit<Burnout, 'load' | 'revision'> {
  const ramp = (toC: number, cPerHour: number) => ({
    kind: 'ramp' as const,
    toC,
    cPerHour,
    toleranceC: 15,
    governs: 'air' as const,
  })
  const hold = (minutes: number) => ({
    kind: 'hold' as const,
    minutes,
    toleranceC: 10,
    governs: 'air' as const,
    credited: false,
  })
  const soak = (minutes: number) => ({ kind: 'hold' as const, minutes, toleranceC: 10, governs: 'all' as const })
  const topC = h.kind === 'shell' ? 10 * Math.round(c.between(80, 90)) : 10 * Math.round(c.between(66, 74))
  const pourC = h.kind === 'shell' ? 10 * Math.round(c.between(58, 70)) : 10 * Math.round(c.between(42, 55))
  const segments =
    h.kind === 'shell'
      ? [ramp(topC, c.between(150, 350)), soak(c.whole(60, 180)), ramp(pourC, c.between(120, 250))]
      : [
          ramp(150, c.between(30, 90)),
          hold(c.whole(60, 300)),
          ramp(c.whole(380, 560), c.between(35, 80)),
          hold(c.whole(60, 180)),
          ramp(topC, c.between(35, 80)),
          soak(c.whole(120, 300)),
          ramp(pourC, c.between(25, 60)),
        ]
  return {
    kind: 'burnout',
    id,
    name: id,
    startC: 20,
    segments,
    governing: [],
    ready: { governs: 'load', atMostC: pourC + 15, minutes: 5 },
  }
}

function loadOf(c: Chance, h: Habits): { spec: LoadSpec; typedMm: number; name: string; wet: boolean } {
  const solid = h.kind === 'solid'
  const classes = solid ? ([0.1, 0.16, 0.24] as const) : ([0.01, 0.014, 0.02] as const)
  const size = c.pick([...classes])
  const thicknessM = size * c.between(0.85, 1.15)
  const wet = solid && c.often(h.wet)
  return {
    wet,
    name: `${h.kind} ${Math.round(1_000 * size)}`,
    typedMm: Math.round(1_000 * thicknessM * c.between(0.95, 1.05)),
    spec: {
      thicknessM,
      surfaceM2: h.kiln.insideM2 * c.between(0.15, 0.5) * (solid ? 1 : 1.5),
      conductivity: solid ? c.between(0.3, 0.6) : c.between(0.8, 1.5),
      jPerM3K: solid ? c.between(1.0e6, 1.5e6) : c.between(1.6e6, 2.2e6),
      waterKgPerM3: wet ? c.between(80, 260) : 0,
      boundKgPerM3: solid ? c.between(0, 60) : 0,
      filmWPerM2K: c.between(5, 14),
      emissivity: c.between(0.5, 0.9),
    },
  }
}

/** The set-point of a controller: along its ramps by its own clock, waiting while the air is far behind. */
class Programme {
  readonly segments: Burnout['segments']
  at = 0
  setC: number
  heldS = 0
  integral = 0
  constructor(segments: Burnout['segments'], fromC: number) {
    this.segments = segments
    this.setC = fromC
  }
  /** Moves on; `mayLeave`: whether the hottest hold may end. */
  step(airC: number, offC: number, mayLeave: boolean, isPaused: boolean, dtS: number): number {
    const part = this.segments[this.at]
    const isBehind = Math.abs(airC - this.setC) > 30
    if (part?.kind === 'ramp' && !isBehind && !isPaused) {
      const step = (part.cPerHour * dtS) / hour
      const left = part.toC + offC - this.setC
      if (Math.abs(left) <= step) [this.setC, this.at, this.heldS] = [part.toC + offC, this.at + 1, 0]
      else this.setC += Math.sign(left) * step
    } else if (part?.kind === 'hold' && !isPaused) {
      this.heldS += dtS
      const isSoak = part.credited !== false
      if (isSoak ? mayLeave : this.heldS >= part.minutes * 60) [this.at, this.heldS] = [this.at + 1, 0]
    }
    const error = this.setC - airC
    const wanted = 0.02 * error + this.integral
    const duty = Math.min(1, Math.max(0, wanted))
    if (duty === wanted) this.integral += (0.02 * error * dtS) / 900
    return duty
  }
}

function sceneOf(
  c: Chance,
  h: Habits,
  recipe: Omit<Burnout, 'load' | 'revision'>,
  nth: number,
  id: string,
  fromMs: number,
): BurnoutScene {
  const { spec, typedMm, name, wet } = loadOf(c, h)
  const warmC = c.often(h.warm) ? c.between(60, 180) : h.kiln.yardC
  const body = new Kiln({ ...h.kiln, heaterW: h.kiln.heaterW * (1 - h.ageing * nth) }, spec, warmC, h.kiln.yardC)
  const programme = new Programme(recipe.segments, warmC)
  const soakAt = recipe.segments.findIndex((s, i) => s.kind === 'hold' && s.credited !== false && i > 0)
  const soak = recipe.segments[soakAt] as Extract<Burnout['segments'][number], { kind: 'hold' }>
  const top = (recipe.segments[soakAt - 1] as { toC: number }).toC
  const floorC = top - soak.toleranceC
  const happenings: { at: number; what: string }[] = []
  const tell = (t: number, what: string) => happenings.push({ at: fromMs + t * 1_000, what })
  const openings = Array.from({ length: c.whole(0, h.opens) }, () => ({
    at: c.between(0, 30 * hour),
    long: c.between(60, 400),
  }))
  const cut = c.often(0.08) ? c.between(4 * hour, 26 * hour) : Infinity
  const cutLong = c.between(600, 3_600)
  const paused = c.often(0.06) ? c.between(2 * hour, 20 * hour) : Infinity
  const pausedLong = c.between(1_800, 7_200)
  const hole = c.often(0.1) ? c.between(0, 24 * hour) : Infinity
  const holeLong = c.between(300, 5_400)
  for (const { at } of openings) tell(at, 'opened')
  if (cut < Infinity) tell(cut, 'power-cut')
  if (paused < Infinity) tell(paused, 'held-by-hand')
  // By the clock: what was asked, and what somebody thinks that the load lags; never less than what it takes.
  const clockS =
    soak.minutes * 60 + (h.kind === 'solid' ? c.between(0.8, 1.3) * 3.2e6 * spec.thicknessM ** 2 * 0.1 : 600)
  const truth = creditedAndReady(floorC, soak.minutes * 60_000, recipe.ready?.atMostC ?? 0)
  const samples: BurnoutSample[] = []
  let [airSeen, loadSeen] = [body.airC, body.coreC]
  let [soakBegan, fullAt]: [number | null, number | null] = [null, null]
  let nextSample = c.between(0, h.intervalS)
  let t = 0
  for (; t < 120 * hour; t += stepS) {
    const mains = !(t >= cut && t < cut + cutLong)
    const door = openings.some((o) => t >= o.at && t < o.at + o.long)
    if (programme.at === soakAt) soakBegan ??= t
    const full = truth.isCredited()
    if (full) fullAt ??= t
    const byClock = soakBegan !== null && t - soakBegan >= clockS
    const heard = fullAt !== null && t - fullAt >= h.patienceS
    const mayLeave = h.listens ? heard : byClock && full
    const isPaused = (t >= paused && t < paused + pausedLong) || !mains
    const duty = programme.step(body.airC + h.airOffC, h.setC, mayLeave, isPaused, stepS)
    body.step(mains ? duty : 0, door, stepS)
    airSeen += ((body.airC + h.airOffC - airSeen) * stepS) / (25 + stepS)
    loadSeen += ((body.coreC + h.loadOffC - loadSeen) * stepS) / (25 + stepS)
    truth.see(fromMs + t * 1_000, airSeen, loadSeen, programme.at >= soakAt)
    if (truth.readyAt() !== null && fromMs + t * 1_000 - (truth.readyAt() as number) > 900_000) break
    if (t < nextSample) continue
    nextSample += h.intervalS
    if (t >= hole && t < hole + holeLong) continue
    const grain = (v: number) => Math.round((v + h.noiseC * c.normal()) * 10) / 10
    samples.push({
      t: fromMs + t * 1_000,
      airC: c.often(0.002) ? null : grain(airSeen),
      loadC: c.often(0.002) ? null : grain(loadSeen),
    })
  }
  const ready = truth.readyAt()
  if (ready === null) throw new Error(`${id} is never ready.`)
  return {
    id,
    recipe: { ...recipe, revision: nth + 1, load: { kind: h.kind, name, thicknessMm: typedMm, wet } },
    startedAt: fromMs,
    samples,
    endedAt: fromMs + t * 1_000,
    truth: { creditedAt: truth.creditedAt() as number, readyAt: ready, thicknessM: spec.thicknessM, wet, happenings },
  }
}

function storyOf(seed: number, nth: number): KilnStory {
  const c = new Chance(`burnouts ${seed} ${nth}`)
  const h = habitsOf(c)
  const id = `kiln-${nth}`
  const recipe = recipeOf(c, h, `${h.kind}-${nth}`)
  const scenes = Array.from({ length: learning + asked }, (_, i) =>
    sceneOf(c, h, recipe, i, `${id}/${i}`, begun + i * 7 * 86_400_000),
  )
  return { id, intervalS: h.intervalS, learning, scenes }
}

/** One kiln after another: five burnouts to learn from, five that are asked about. */
export function* burnoutStories(seed: number, kilns = kilnsAsked): Generator<KilnStory> {
  for (let nth = 0; nth < kilns; nth++) yield storyOf(seed, nth)
}
