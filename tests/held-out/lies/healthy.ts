/** Weeks and months in which every instrument is as honest as it can be: what a judge must leave in peace. */
import { Chance } from './chance.ts'
import { type Span, dayS, onSteps, someMorning, spells, steps, within, workshopC } from './course.ts'
import { type FiringShape, airOf, fires, isGas, kilnProbe } from './kiln-bench.ts'
import { kilnBody, kilnPlan } from './kiln-lies.ts'
import type { Kiln } from './kiln.ts'
import {
  type Bench,
  coldWax,
  evenly,
  gun,
  heater,
  hundredth,
  livelyWax,
  potClass,
  potMake,
  probe,
  setPoints,
  soundOptics,
} from './pot-bench.ts'
import { potPlan } from './pot-plan.ts'
import { alsoTrue, greyC } from './pot-truth.ts'
import type { Pot } from './pot.ts'
import { Room, climate, doorContact, hall, piece } from './room.ts'
import type { LieScene, SceneTruth } from './shape.ts'
import type { SensorMake } from './sensor.ts'
import { type Gauge, sceneOf, spansOf, truthOf } from './stage.ts'

/** Some are slow, some show whole degrees, all drift a little. */
function honest(chance: Chance): Partial<SensorMake> {
  return {
    driftPerMonth: chance.near(0.2, 0.5),
    ...(chance.often(0.2) ? { lagS: chance.scaled(40, 150) } : {}),
    ...(chance.often(0.3) ? { step: chance.pick([0.5, 1]) } : {}),
  }
}

interface Shift {
  fromS: number
  toS: number
}

/** Five or six days a week, some eight hours. */
function shiftsOf(chance: Chance, startMs: number, durationS: number): Shift[] {
  const hour = chance.between(5, 8)
  const workdays = chance.whole(5, 6)
  const midnightS = -((startMs % 86_400_000) / 1_000)
  const shifts: Shift[] = []
  for (let beginsS = midnightS; beginsS < durationS; beginsS += dayS) {
    const weekday = new Date(startMs + beginsS * 1_000 + 43_200_000).getUTCDay()
    const fromS = beginsS + (hour + chance.near(0.3, 1)) * 3_600
    const toS = fromS + chance.between(6, 10) * 3_600
    if ((weekday + 6) % 7 < workdays && fromS > 0 && toS < durationS) shifts.push({ fromS, toS })
  }
  return shifts
}

interface Work {
  setAt: [number, number | undefined][]
  lids: Span[]
  stirs: Span[]
  topUps: [number, number][]
}

/** A day at the pot: under its lid until molten, lid off to work, now and then on again, off in the evening. */
function workday(chance: Chance, make: Bench['make'], { fromS, toS }: Shift, work: Work): void {
  const lengthS = toS - fromS
  for (const [atS, setC] of setPoints(chance, make, lengthS, 5)) work.setAt.push([fromS + atS, setC])
  work.setAt.push([toS, undefined])
  const openS = fromS + Math.min(0.6 * lengthS, (make.kg / 6) ** 0.3 * chance.between(1.2, 2.2) * 3_600)
  const last = work.lids[work.lids.length - 1]
  if (last !== undefined) work.lids[work.lids.length - 1] = [last[0], openS]
  else work.lids.push([Math.max(0, fromS - 3_600), openS])
  for (const break_ of spells(chance, [openS + 1_800, toS - 1_800], [4_000, 20_000], [1_200, 7_000]))
    work.lids.push(break_)
  work.lids.push([toS, toS + 1])
  work.stirs.push(...spells(chance, [openS, toS], [900, 4_000], [60, 240]))
  for (const [atS, kgPerS] of coldWax(chance, make.kg, lengthS))
    if (fromS + atS > openS) work.topUps.push([Math.min(toS, fromS + atS), kgPerS])
}

/**
 * One in five reads low, or a little high, by its setting, and the house knows it: the true emissivity was found by
 * comparison.
 */
function honestGun(chance: Chance, b: Bench): Gauge<Pot> {
  if (chance.often(0.8)) return gun(chance, b)
  const ambientC = b.day.ambientC(0)
  const emissivity = hundredth(chance.between(0.86, 0.93))
  const sound = soundOptics(chance, ambientC)
  const optics = { ...sound, emissivity, compensatedC: chance.often(0.3) ? undefined : sound.compensatedC }
  return gun(chance, b, { optics, known: { emissivity, emissivityU: 0.01, reflectedC: Math.round(ambientC) } })
}

const bodyStepS = 10

export function healthyPot(id: string, turn: number): LieScene {
  const chance = new Chance(id)
  const wish = { start: 'cold', ...livelyWax, stir: evenly } as const
  const make = potMake(chance, wish, turn)
  const startMs = someMorning(chance)
  const durationS = chance.whole(7, 21) * dayS
  const shifts = shiftsOf(chance, startMs, durationS)
  const work: Work = { setAt: [], lids: [], stirs: [], topUps: [] }
  for (const shift of shifts) workday(chance, make, shift, work)
  const evening = work.lids.pop()
  if (evening) work.lids.push([evening[0], durationS])
  const intervalS = chance.pick([10, 15, 20, 30, 30, 60])
  const machine = chance.often(0.5) ? chance.between(0.2, 0.8) : 0
  const working = within(shifts.map(({ fromS, toS }) => [fromS, toS] as const))
  const byHand = within(work.stirs)
  const lids = onSteps(work.lids, bodyStepS)
  const lidded = within(lids)
  const b: Bench = {
    class: potClass(make.kg),
    make,
    startMs,
    durationS,
    intervalS,
    stepS: bodyStepS,
    lids,
    day: {
      startC: 18,
      ambientC: workshopC(chance, startMs),
      setC: steps(work.setAt, undefined),
      lid: lidded,
      stir: (tS) => (byHand(tS) ? 1 : working(tS) && !lidded(tS) ? machine : 0),
      topUp: steps(work.topUps, 0),
    },
  }
  const nightsOff = chance.often(0.6)
  const plugged = within(shifts.map(({ fromS, toS }) => [fromS - 600, toS + 1_800] as const))
  const off = (tS: number): boolean => nightsOff && !plugged(tS)
  const aside = chance.often(0.6)
  const quietly = (gauge: Gauge<Pot>, silent: (tS: number) => boolean): Gauge<Pot> => ({ ...gauge, silent })
  const gauges: Gauge<Pot>[] = [quietly(probe(chance, b, 'wax-middle', { make: honest(chance) }), off)]
  if (chance.often(0.6)) gauges.push(quietly(probe(chance, b, 'wax-bottom', { make: honest(chance) }), off))
  // Swung aside it is switched off; else it stares at the lid, and is blind as long.
  if (chance.often(0.9)) gauges.push(quietly(honestGun(chance, b), (tS) => off(tS) || (aside && lidded(tS))))
  if (chance.often(0.3)) gauges.push(quietly(heater(b), off))
  return sceneOf(potPlan(id, b, gauges, alsoTrue(id, b, gauges, greyC)))
}

export function healthyKiln(id: string, turn: number): LieScene {
  const chance = new Chance(id)
  const shapes: FiringShape[] = ['mould', 'flash', 'preheat', 'rest']
  const f = fires(chance, { gas: isGas(turn), firings: [4, 14], shapes, sameShape: 0.6, pauseH: [2, 48] })
  const silentInPauses = chance.often(0.5)
  const types = [chance.pick(['K', 'N', 'S'] as const), chance.pick(['K', 'N', 'R'] as const)] as const
  const wires = types.map((type) => (type === 'K' ? chance.between(0.4, 1.1) : 0))
  const gauges: Gauge<Kiln>[] = (['A', 'B'] as const).map((spot, i) =>
    kilnProbe(chance, f, spot, {
      type: types[i]!,
      sees: (kiln) => airOf(spot)(kiln) + kiln.wires[i]!.errorC,
      make: honest(chance),
      silentInPauses,
    }),
  )
  if (chance.often(0.7)) gauges.push(kilnProbe(chance, f, 'load', { type: 'N', make: honest(chance), silentInPauses }))
  // Type K that rests does order, healthy or not: from 1 °C on a doubt is not false.
  const truth: SceneTruth[] = gauges.slice(0, 2).flatMap(({ is }, i) => {
    if (wires[i] === 0) return []
    const spans = spansOf(kilnBody(id, f, wires), (kiln) => kiln.wires[i]!.errorC, {
      on: 1,
      off: 0.7,
      stepS: f.stepS,
      leastS: 600,
    })
    return spans.map((span) => truthOf(f, 'ordering', is.id, span))
  })
  return sceneOf(kilnPlan(id, f, gauges, truth, wires))
}

export function healthyRoom(id: string): LieScene {
  const chance = new Chance(id)
  const h = hall(chance, [8, 24], [30, 60])
  const gauges: Gauge<Room>[] = [climate(chance, h, 'A'), climate(chance, h, 'B')]
  if (chance.often(0.6)) gauges.push(piece(chance, h))
  if (chance.often(0.6)) gauges.push(doorContact(h))
  return sceneOf({
    id,
    class: h.class,
    stationKind: 'dry-room',
    startMs: h.startMs,
    durationS: h.durationS,
    stepS: h.stepS,
    world: () => new Room(h.make, h.days, new Chance(`${id}:room`)),
    gauges,
    truth: [],
  })
}
