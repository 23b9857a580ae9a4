/** Held-out scenes in which instruments lie, and in which they do not: what a judge of instruments is judged by.
 *
 * Bodies. A pot is 6–10 layers in two columns (heart, ring) with a melting band, and side, floor, element, skin, lid
 * and the air above as bodies of their own; convection runs only where the lower side is molten and hotter. A kiln is
 * air in two places, four bricks and a mould of five shells with radiation, boiling water and a controller that is
 * none too well tuned. A dry room is air, water, walls, a cooler and a dryer with hysteresis and defrosting, doors and
 * people. Nothing of it is one exponential, and nothing is imported from the product but the names of things.
 *
 * Instruments. Lag, white and wandering noise, steps of 0.01 to 1 °C, honest offsets, uneven times, lost readings and
 * minutes of bad air, drift. Infrared is Planck's law over 8–14 µm, integrated here. All figures of sites, materials
 * and habits are invented within what the trade calls plausible (common practice, no source) unless a source stands
 * beside them.
 *
 * What an instrument says is raw. An infrared thermometer with a known `emissivity` reads low by its setting and is
 * honest all the same: the house can correct it.
 *
 * Truth. `from` and `to` are true times. In a scene of lies the first entries are the lies it is about, over 30–75 %
 * of its time; each is large enough that somebody careful would want to know (the size stands beside each maker), and
 * can be known: on pots it is at least twice the honest disagreement of the same two instruments, in kilns more than
 * such a pair differs by in a ramp. What else is true besides (a lid over an infrared thermometer, a short plug) is
 * listed after them. In healthy scenes truth lists what even honest instruments do (blind under a lid, in the plug of
 * the morning, layers, a skin, ordering of type K), from about two thirds of the size of a lie on: a doubt of that
 * kind in that time is not false; nobody is asked to find it. A doubt elsewhere is false.
 *
 * Steadiness. Everything follows from the seed; a fresh iteration gives the same readings again.
 */
import type { DoubtKind } from '../../../shared/contract/doubt.ts'
import { Chance } from './chance.ts'
import * as fault from './faults.ts'
import { healthyKiln, healthyPot, healthyRoom } from './healthy.ts'
import { ageing, moved, ordering } from './kiln-lies.ts'
import * as pot from './pot-lies.ts'
import type { LieScene } from './shape.ts'
import { type Plan, type World, sceneOf } from './stage.ts'
import { kilnStand, potStand, roomStand } from './stands.ts'

export type { LieScene } from './shape.ts'

/** `turn` counts the scenes of one kind: sizes, fuels and stations take turns. */
type Maker = (chance: Chance, id: string, turn: number) => LieScene | undefined

const madeOf = <W extends World>(plan: Plan<W> | undefined): LieScene | undefined => plan && sceneOf(plan)

/** On pots alone, or in kilns alone. */
const made =
  <W extends World>(make: (chance: Chance, id: string, turn: number) => Plan<W> | undefined): Maker =>
  (chance, id, turn) =>
    madeOf(make(chance, id, turn))

/** Half on pots, a third in kilns; the rest in rooms, or where a thermocouple is asked for, on pots too. */
const anywhere =
  (breaks: fault.Break, { thermocouple = false, air = false } = {}): Maker =>
  (chance, id, turn) => {
    const where = turn % 10
    if (where < 5 || (where > 7 && thermocouple))
      return madeOf(breaks(chance, potStand(chance, id, turn, thermocouple)))
    if (where > 7) return madeOf(breaks(chance, roomStand(chance, id)))
    return madeOf(breaks(chance, kilnStand(chance, id, turn, air)))
  }

const makers: Record<DoubtKind, Maker> = {
  emissivity: made(pot.emissivity),
  'sees-metal': made(pot.seesMetal),
  'spot-too-large': made(pot.spotTooLarge),
  'sees-skin': made(pot.seesSkin),
  blind: made(pot.blind),
  'at-the-wall': made(pot.atTheWall),
  'out-of-wax': made(pot.outOfWax),
  'in-solid': made(pot.inSolid),
  'not-stirred': made(pot.unstirred),
  ordering: made(ordering),
  ageing: made(ageing),
  moved: made(moved),
  reversed: anywhere(fault.reversed, { thermocouple: true }),
  'wrong-type': anywhere(fault.wrongType, { thermocouple: true }),
  'open-circuit': anywhere(fault.openCircuit),
  stuck: anywhere(fault.stuck),
  'noise-vanished': anywhere(fault.noiseVanished),
  'noise-exploded': anywhere(fault.noiseExploded),
  'clock-apart': anywhere(fault.clockApart, { air: true }),
}

const throwsMost = 400

/** Scenes of one kind of lie. */
export function* lieScenes(kind: DoubtKind, count: number, seed: number): Iterable<LieScene> {
  for (let n = 0; n < count; n++) yield lieScene(kind, `${kind}/${seed}.${n}`, n)
}

/** Thrown again until the lie is one that could be known. */
function lieScene(kind: DoubtKind, name: string, turn: number): LieScene {
  for (let again = 0; again < throwsMost; again++) {
    const id = `${name}.${again}`
    const scene = makers[kind](new Chance(id), id, turn)
    if (scene) return { ...scene, id: `${kind}/${scene.class.replaceAll(' ', '-')}/${id.slice(kind.length + 1)}` }
  }
  throw new Error(`no scene of ${name} in ${throwsMost} throws`)
}

/**
 * Scenes without a lie, until they sum up to so many instrument-months: pots, kilns and rooms in turn, pots most
 * often.
 */
export function* healthyScenes(instrumentMonths: number, seed: number): Iterable<LieScene> {
  const turns = [healthyPot, healthyKiln, healthyPot, healthyRoom, healthyPot]
  let months = 0
  for (let n = 0; months < instrumentMonths; n++) {
    const scene = turns[n % turns.length]!(`healthy/${seed}.${n}`, n)
    months += scene.months
    yield { ...scene, id: `healthy/${scene.class.replaceAll(' ', '-')}/${seed}.${n}` }
  }
}
