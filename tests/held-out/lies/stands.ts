/** Three stands on which any instrument can break, with sound company: a pot, a kiln, a dry room. */
import type { ThermocoupleType } from '../../../shared/contract/instrument.ts'
import { Chance } from './chance.ts'
import type { KnownType } from './emf.ts'
import { type Fires, type Spot, airOf, fires, isGas, kilnProbe } from './kiln-bench.ts'
import { kilnBody, kilnPlan } from './kiln-lies.ts'
import type { Kiln } from './kiln.ts'
import { type Bench, type Depth, bench, depths, gun, heater, probe } from './pot-bench.ts'
import { type Lie, only, quiet } from './pot-lies.ts'
import { potBody } from './pot-plan.ts'
import type { Pot } from './pot.ts'
import { type Hall, Room, climate, doorContact, hall, piece } from './room.ts'
import type { SceneTruth } from './shape.ts'
import type { Fault, SensorMake } from './sensor.ts'
import { type Gauge, type Plan, type World, truthOf } from './stage.ts'

/** What is asked of the one that lies. */
export interface Wishes {
  fault?(step: number): Fault
  make?: Partial<SensorMake>
  /** Of a thermocouple: what is set on it, and what it makes of the hot end's temperature. */
  type?: ThermocoupleType
  reads?(hotC: number, coldC: number, tS: number): number
}

export interface Stand<W extends World> {
  durationS: number
  startMs: number
  intervalS: number
  stepS: number
  world(): W
  /** What the one that lies should see. */
  trueValue(world: W): number
  /** Its type, where it is a thermocouple. */
  type: KnownType | undefined
  /** How far it should have moved for a stuck one to be told, in the unit of its quantity. */
  movesLeast: number
  /** How large noise and errors usually are here, as a multiple of a pot's. */
  scale: number
  /** By how much two sound instruments may honestly follow each other late here, s. */
  delayS: number
  liar(wishes: Wishes): Gauge<W>
  company(): Gauge<W>[]
  plan(gauges: Gauge<W>[], lies: readonly Lie[]): Plan<W> | undefined
}

const cables = (ambientC: number): number => ambientC + 4

export function potStand(chance: Chance, id: string, turn: number, onlyProbe: boolean): Stand<Pot> {
  const b: Bench = bench(chance, quiet, turn)
  const place: Depth = chance.pick(['wax-middle', 'wax-middle', 'wax-bottom', 'wax-top'] as const)
  const asGun = !onlyProbe && chance.often(0.4)
  const type = chance.pick(['K', 'K', 'T', 'J', 'N'] as const)
  const level = depths[place]
  return {
    ...b,
    ...potBody(id, b),
    type: asGun ? undefined : type,
    movesLeast: 5,
    scale: 1,
    delayS: 45 * (b.make.kg / 6) ** 0.4,
    trueValue: (pot) => (asGun ? pot.skinC : pot.waxC(level)),
    liar: ({ fault, make, type: set, reads }) => {
      if (asGun) {
        const sound = gun(chance, b)
        const [voice] = sound.voices
        const broken = fault?.(voice!.make.step)
        return {
          ...sound,
          voices: [{ ...voice!, make: { ...voice!.make, ...make }, ...(broken ? { fault: broken } : {}) }],
        }
      }
      const step = make?.step ?? chance.pick([0.1, 0.1, 0.25, 0.0625])
      return probe(chance, b, place, {
        type: set ?? type,
        make: { step, ...make },
        sees: reads ? (pot, tS) => reads(pot.waxC(level), cables(pot.ambientC), tS) : (pot) => pot.waxC(level),
        ...(fault ? { fault: fault(step) } : {}),
      })
    },
    company: () => {
      const other = probe(chance, b, place === 'wax-middle' ? 'wax-bottom' : 'wax-middle')
      if (asGun) return chance.often(0.4) ? [other, probe(chance, b, 'wax-top')] : [other]
      return chance.pick([[other], [gun(chance, b)], [other, gun(chance, b)], [other, heater(b)]])
    },
    plan: (gauges, lies) => only(id, b, gauges, lies),
  }
}

/** `air`: only where the air is felt at once; the heart of a mould comes hours later, whatever its clock says. */
export function kilnStand(chance: Chance, id: string, turn: number, air: boolean): Stand<Kiln> {
  const f: Fires = fires(chance, {
    gas: isGas(turn),
    firings: [1, 3],
    shapes: ['mould', 'flash', 'preheat'],
    intervalsS: [10, 20, 30, 60],
    pauseH: [2, 12],
  })
  const spot: Spot = chance.pick(air ? (['A', 'B'] as const) : (['A', 'B', 'load'] as const))
  const type = chance.pick(['N', 'S', 'R', 'K'] as const)
  const silentInPauses = chance.often(0.5)
  return {
    ...f,
    ...kilnBody(id, f),
    type,
    movesLeast: 25,
    scale: 4,
    delayS: 60,
    trueValue: airOf(spot),
    liar: ({ fault, make, type: set, reads }) => {
      const step = make?.step ?? chance.pick([0.1, 0.25, 0.5, 1])
      return kilnProbe(chance, f, spot, {
        type: set ?? type,
        make: { step, ...make },
        silentInPauses,
        sees: reads ? (kiln, tS) => reads(airOf(spot)(kiln), cables(kiln.ambientC), tS) : airOf(spot),
        ...(fault ? { fault: fault(step) } : {}),
      })
    },
    company: () =>
      (({ load: ['A', 'B'], A: ['B', 'load'], B: ['A', 'load'] }) as const)[spot]
        .slice(0, chance.whole(1, 2))
        .map((other) => kilnProbe(chance, f, other, { silentInPauses })),
    plan: (gauges, lies) =>
      kilnPlan(
        id,
        f,
        gauges,
        lies.map((lie) => toldBy(f, lie)),
      ),
  }
}

export function roomStand(chance: Chance, id: string): Stand<Room> {
  const h: Hall = hall(chance, [1, 4])
  const spot = chance.pick(['A', 'B'] as const)
  return {
    ...h,
    world: () => new Room(h.make, h.days, new Chance(`${id}:room`)),
    type: undefined,
    movesLeast: 6,
    scale: 0.3,
    delayS: 120,
    trueValue: (room) => room.humidityAt(spot === 'A' ? room.atA : room.atB),
    liar: ({ fault, make }) => {
      const step = make?.step ?? chance.pick([0.01, 0.1, 0.1])
      const of = (quantity: 'temperature' | 'humidity'): Fault => {
        const broken = fault!(step)
        if (quantity === 'temperature') return broken
        if (broken.kind === 'noise-exploded') return { ...broken, floor: 4 * broken.floor }
        return broken.kind === 'pinned' ? { ...broken, value: broken.value > 100 ? 100 : 0 } : broken
      }
      return climate(chance, h, spot, { step, ...(make ? { make } : {}), ...(fault ? { fault: of } : {}) })
    },
    company: () => {
      const twin = climate(chance, h, spot === 'A' ? 'B' : 'A')
      return [twin, ...(chance.often(0.5) ? [piece(chance, h)] : []), ...(chance.often(0.5) ? [doorContact(h)] : [])]
    },
    plan: (gauges, lies) => ({
      id,
      class: h.class,
      stationKind: 'dry-room',
      startMs: h.startMs,
      durationS: h.durationS,
      stepS: h.stepS,
      world: () => new Room(h.make, h.days, new Chance(`${id}:room`)),
      gauges,
      truth: lies.map((lie) => toldBy(h, lie)),
    }),
  }
}

const toldBy = (of: { startMs: number }, { kind, instrument, span, or }: Lie): SceneTruth =>
  truthOf(of, kind, instrument, span, or)
