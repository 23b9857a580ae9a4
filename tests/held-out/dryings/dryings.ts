/** Held-out dryings: one seed, one number, one night of a test piece with the three nights before it. */
import { Chance } from '../lies/chance.ts'
import { airJPerM3K, saturationPa, vapourPerPa, wetBulbC } from './air.ts'
import { Body } from './body.ts'
import { anotherDip, type PieceSpec, pieceOf } from './piece.ts'
import { type Course, climateSeen, type Hole, type Probes, probesOf, waxSeen } from './probes.ts'
import { type House, houseOf, Room } from './room.ts'
import {
  type DryingRun,
  type DryingScene,
  type DryingTruth,
  geometries,
  type Happening,
  type Kind,
  kinds,
} from './scene.ts'

/** Frozen before the estimator was tuned: whoever tunes does it on other seeds; what this one makes is only measured on. */
export const frozenSeed = 20_260_611

const stepS = 60
const everySteps = 2
const beforeS = 3 * 3_600
const longestS = 72 * 3_600
const begun = Date.parse('2026-02-02T00:00:00Z')
const dayMs = 86_400_000

/** One in nine of each kind, by number; or of the kind asked for. */
export function dryingScene(seed: number, n: number, kind: Kind = kinds[n % kinds.length]!): DryingScene {
  for (let go = 0; ; go++) {
    const name = `drying ${seed} ${n} ${kind}${go === 0 ? '' : ` again ${go}`}`
    const made = askedOf(name, n, kind)
    // A door that catches nobody is no trap: then another piece is drawn.
    if (kind !== 'trap' || isTrap(made.run) || go === 20) return sceneOf(name, made)
  }
}

interface Asked {
  piece: PieceSpec
  house: House
  probes: Probes
  run: DryingRun
}

function askedOf(name: string, n: number, kind: Kind): Asked {
  const c = new Chance(name)
  const geometry = kind === 'trap' ? c.pick(['open-face', 'edge'] as const) : c.pick(geometries)
  const piece = pieceOf(c, geometry, kind === 'trap')
  const house = houseOf(c, kind, piece.coat === 'prime')
  const probes = probesOf(c)
  const dippedAt = begun + n * 14 * dayMs + Math.round(c.between(9, 32) * 60) * 60_000
  const night = new Chance(`${name} asked`)
  return {
    piece,
    house,
    probes,
    run: runOf(night, anotherDip(night, piece), house, probes, kind, name, dippedAt, false),
  }
}

function sceneOf(name: string, { piece, house, probes, run }: Asked): DryingScene {
  const earlier = [3, 2, 1].map((back) => {
    const night = new Chance(`${name} earlier ${back}`)
    const kind = run.kind === 'noDepression' ? run.kind : night.pick(['steady', 'cycles', 'dayNight', 'door'] as const)
    const dippedAt = run.dippedAt - back * 4 * dayMs - night.whole(-360, 360) * 60_000
    return runOf(night, anotherDip(night, piece), house, probes, kind, `${name} earlier ${back}`, dippedAt, true)
  })
  const { geometry, coat, coatsBefore } = piece
  return { ...run, geometry, coat, coatsBefore, pressurePa: house.pressurePa, known: probes.known, earlier }
}

/** Whether the raw wax climbs by a degree and more while the door is open, the coat stays wet and R says so. */
function isTrap({ truth }: DryingRun): boolean {
  const door = truth.happenings.find((h) => h.what === 'door')
  if (door === undefined) return false
  const first = truth.t.findIndex((t) => t >= door.from)
  const last = truth.t.findLastIndex((t) => t <= door.until)
  const rise = Math.max(...truth.waxC.slice(first, last + 1)) - truth.waxC[first]!
  const seems = Math.max(...truth.recovery.slice(first, last + 1)) - truth.recovery[first]!
  return rise > 1.2 && seems < 0.15 && truth.moisture[last]! > 0.4
}

/** One after another, so that many need not be held at once. */
export function* dryingScenes(seed: number, count: number): Generator<DryingScene> {
  for (let n = 0; n < count; n++) yield dryingScene(seed, n)
}

/** How long the surface would stay wet in the room as it is set, by a sum on one line: only to place what happens. */
function wetSeconds(piece: PieceSpec, house: House): number {
  const { setC, pressurePa } = house
  const vapour = (house.humidity / 100) * saturationPa(setC)
  const wetC = wetBulbC(setC, vapour, pressurePa)
  const surface = wetC + 0.2 * (setC - wetC)
  const resistance = (airJPerM3K(setC, pressurePa) * piece.lewis) / piece.filmW + 1 / piece.pocketMPerS
  const kgPerS = (vapourPerPa(setC) * (saturationPa(surface) - vapour)) / resistance
  const sucked = piece.suction * Math.min(piece.suctionM, piece.coatsBefore * piece.earlierM)
  const kg = 1_000 * piece.porosity * (piece.newM + sucked)
  return Math.min(24 * 3_600, ((1 - piece.critical) * kg) / kgPerS)
}

interface Recorded {
  course: Course
  truth: DryingTruth
}

/** A night from three hours before the dip until hours after it is dry, without instruments. */
export function dry(c: Chance, piece: PieceSpec, house: House, kind: Kind, dippedAt: number): Recorded {
  const room = new Room(c, house, kind, wetSeconds(piece, house))
  const body = new Body(piece, house.pressurePa, room.now.airC, room.now.airC - room.now.wetBulbC)
  const slurryC = house.setC + c.near(0.6, 1.5)
  const goOnS = c.between(4, 7) * 3_600
  const from = dippedAt - beforeS * 1_000
  const course: Course = { from, stepMs: stepS * 1_000, airC: [], vapourPa: [], waxC: [] }
  const truth = emptyTruth()
  const record = (nth: number) => {
    course.airC.push(room.now.airC)
    course.vapourPa.push(room.now.vapourPa)
    course.waxC.push(body.waxC)
    if (nth % everySteps !== 0) return
    truth.t.push(from + nth * stepS * 1_000)
    truth.moisture.push(body.moisture)
    truth.recovery.push(body.recovery)
    truth.waxC.push(body.waxC)
    truth.airC.push(room.now.airC)
    truth.wetBulbC.push(room.now.wetBulbC)
    truth.airStarC.push(body.airStarC)
    truth.wetBulbStarC.push(body.wetBulbStarC)
  }
  // Rooms are old when a night begins: walls, wax and the hollow behind it have found their place.
  for (let s = -beforeS - 14_400; s < -beforeS; s += 120) step(120, s)
  function step(dtS: number, sinceS: number): void {
    room.step(dtS, sinceS + dtS, (dippedAt / 1_000 + sinceS + dtS) % 86_400)
    body.step(dtS, room.now)
  }
  const lastEventS = Math.max(0, ...room.happenings.map((e) => e.untilS))
  let untilS = longestS
  // Thick wax comes back to the room long after its shell is dry, and is watched until then.
  const isBack = () => Math.abs(body.recovery - 1) < 0.02
  for (let nth = 0, s = -beforeS; s <= longestS && (s <= untilS || !isBack()); nth++, s += stepS) {
    if (s === 0) body.dip(slurryC)
    record(nth)
    const was = body.moisture
    step(stepS, s)
    const t = from + (nth * stepS + stepS) * 1_000
    if (s < 0) continue
    if (!body.isSurfaceWet) truth.wetUntil ??= t
    truth.dryAt ??= crossing(t, was, body.moisture, 0.05)
    if (truth.finalDryAt === null) {
      truth.finalDryAt = crossing(t, was, body.moisture, 0.01)
      if (truth.finalDryAt !== null) untilS = Math.min(longestS, Math.max(s, Math.min(lastEventS, s + 14_400)) + goOnS)
    }
  }
  truth.heatLeft = body.heatLeft
  truth.waterLeft = body.waterLeft
  const end = from + stepS * 1_000 * (course.airC.length - 1)
  truth.happenings = room.happenings
    .map(({ fromS, untilS: toS, what }) => ({
      from: Math.round(dippedAt + fromS * 1_000),
      until: Math.min(end, Math.round(dippedAt + toS * 1_000)),
      what,
    }))
    .filter((h) => h.from < end)
  return { course, truth }
}

function emptyTruth(): DryingTruth {
  const columns = {
    t: [],
    moisture: [],
    recovery: [],
    waxC: [],
    airC: [],
    wetBulbC: [],
    airStarC: [],
    wetBulbStarC: [],
  }
  return { ...columns, wetUntil: null, dryAt: null, finalDryAt: null, happenings: [], heatLeft: 0, waterLeft: 0 }
}

/** When a value that falls within the step that ends at `t` passes `level`. */
function crossing(t: number, was: number, is: number, level: number): number | null {
  return is <= level && was > level ? Math.round(t - (stepS * 1_000 * (level - is)) / (was - is)) : null
}

function runOf(
  c: Chance,
  piece: PieceSpec,
  house: House,
  probes: Probes,
  kind: Kind,
  id: string,
  dippedAt: number,
  weighed: boolean,
): DryingRun {
  const { course, truth } = dry(c, piece, house, kind, dippedAt)
  const hole = (what: Happening['what']): Hole | null => {
    if (!c.often(0.08)) return null
    const from = Math.round(dippedAt + c.between(0, 10 * 3_600_000))
    const found = { from, until: from + Math.round(c.scaled(5, 45) * 60_000) }
    truth.happenings.push({ ...found, what })
    return found
  }
  const { air, humidity } = climateSeen(c, probes, course, hole('climate-unseen'))
  const wax = waxSeen(c, probes, course, hole('wax-unseen'))
  const weighings = weighed ? weighedBy(c, truth, dippedAt) : { t: [], v: [] }
  return { id, kind, dippedAt, air, humidity, wax, weighings, truth }
}

/** A house that calibrates its criterion weighs every so often until nothing changes any more. */
function weighedBy(c: Chance, truth: DryingTruth, dippedAt: number): { t: number[]; v: number[] } {
  const t: number[] = []
  const v: number[] = []
  const stepMs = truth.t[1]! - truth.t[0]!
  const end = truth.t.at(-1)!
  const everyMs = ((truth.finalDryAt ?? end) - dippedAt) / c.between(7, 11)
  for (let at = dippedAt + 300_000; at < end; at += Math.round(everyMs * c.between(0.7, 1.3))) {
    const moisture = truth.moisture[Math.round((at - truth.t[0]!) / stepMs)]!
    t.push(at)
    v.push(Math.round((moisture + 0.008 * c.normal()) * 1_000) / 1_000)
  }
  return { t, v }
}
