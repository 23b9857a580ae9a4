/** The whole workshop: every body of the invented foundry, moved on step by step through its day and its incidents. */
import { relativeHumidityOf } from '../../shared/physics/humidity.ts'
import type { EpochMs } from '../../shared/time.ts'
import {
  type DryingRoomSpec,
  type DryingRoomState,
  humidityOf,
  reset,
  roomAt,
  roomFor,
  stepDryingRoom,
} from '../bodies/drying-room.ts'
import { type KilnSpec, type KilnState, kilnAt, mouldKiln, shellKiln, stepKiln } from '../bodies/kiln.ts'
import { type Programme, programmeOff, startProgramme, stepProgramme } from '../bodies/programme.ts'
import {
  evaporationKgPerS,
  stepTestPiece,
  surrounding,
  type TestPieceSpec,
  type TestPieceState,
} from '../bodies/test-piece.ts'
import { potAt, potFor, stepWaxPot, type WaxPot, type WaxPotState, middleC } from '../bodies/wax-pot.ts'
import { standing } from '../faults.ts'
import { mouldSegments, shellSegments } from '../foundry/recipes.ts'
import { type SiteTime, minutesOf } from '../site-time.ts'
import { corridorAir, kilnDoorOpen, kilnStarts, potHabit, yardC } from './day.ts'
import { worldStepS } from './scene.ts'
import type { Incidents } from './story.ts'

export interface PotPlace {
  pot: WaxPot
  state: WaxPotState
  lidOn: boolean
  stirred: boolean
  mains: boolean
}
export interface RoomPlace {
  spec: DryingRoomSpec
  state: DryingRoomState
  setHumidity: number
  pieces: Record<string, { spec: TestPieceSpec; state: TestPieceState; dippedAt: string[] }>
  doorOpen: boolean
  mains: boolean
}
export interface KilnPlace {
  spec: KilnSpec
  state: KilnState
  programme: Programme
  controller: typeof programmeOff
  doorOpen: boolean
}

/** Plain data throughout: a workshop can be copied, compared and kept. */
export interface Workshop {
  pots: Record<string, PotPlace>
  rooms: Record<string, RoomPlace>
  kilns: Record<string, KilnPlace>
  corridor: { airC: number; ratio: number; humidity: number }
  slurryC: number
}

const seaLevelPa = 101_325

function potPlace(waxKg: number, heaterW: number, atC: number): PotPlace {
  const pot = potFor(waxKg, heaterW)
  return { pot, state: potAt(pot, atC), lidOn: true, stirred: false, mains: true }
}

/** What the controller is set to: it holds by its own clock. */
function legsOf(segments: typeof mouldSegments): Programme['legs'] {
  return segments.map((s) => (s.kind === 'hold' ? { kind: 'hold', minutes: s.controllerMinutes ?? s.minutes } : s))
}

function kilnPlace(spec: KilnSpec, legs: Programme['legs'], atC: number): KilnPlace {
  const programme = { legs, waitBeyondC: 12, dutyPerC: 0.05, integralS: 900 }
  return { spec, state: kilnAt(atC), programme, controller: programmeOff, doorOpen: false }
}

const prime = { lagS: 2_400, depressionShare: 0.8, dryHours: 7, waterKg: 0.05 }
const openFace = { lagS: 1_800, depressionShare: 0.78, dryHours: 9, waterKg: 0.16 }
const pocket = { lagS: 2_400, depressionShare: 0.76, dryHours: 12, waterKg: 0.12 }

/** How the foundry stands at half past five in the evening. */
export function workshopAtDusk(): Workshop {
  const wet = { waxC: 21.8, wet: 1 }
  return {
    pots: {
      W1: potPlace(6, 600, 48),
      W2: potPlace(12, 1_200, 62),
      W3: potPlace(40, 3_000, 72),
      W4: potPlace(10, 800, 70),
      W5: potPlace(1, 250, 60),
    },
    rooms: {
      D1: {
        spec: roomFor(50, { coolingRestarts: false, fansW: 750 }),
        state: roomAt(22, 0.0099),
        setHumidity: 60,
        pieces: { 'd1-p1': { spec: prime, state: wet, dippedAt: ['08:00', '17:30'] } },
        doorOpen: false,
        mains: true,
      },
      D2: {
        spec: roomFor(60, { dehumidifierRestarts: false }),
        state: roomAt(22, 0.0074),
        setHumidity: 45,
        pieces: {
          'd2-p2': { spec: openFace, state: wet, dippedAt: ['07:30', '17:30'] },
          'd2-p3': { spec: pocket, state: wet, dippedAt: ['07:30', '17:30'] },
        },
        doorOpen: false,
        mains: true,
      },
    },
    kilns: {
      K1: kilnPlace(shellKiln, legsOf(shellSegments), 90),
      K2: kilnPlace(mouldKiln, legsOf(mouldSegments), 24),
    },
    corridor: { airC: 21.5, ratio: 0.0112, humidity: 70 },
    slurryC: 21.8,
  }
}

interface Moment {
  at: EpochMs
  site: SiteTime
  incidents: Incidents
  /** Slow unrest of the workshop air, °C: draughts, people, doors. */
  unrestC: number
}

/** True in the one step that begins at or before the local time `hhmm` and ends after it. */
function passes({ at, site }: Moment, hhmm: string): boolean {
  const due = minutesOf(hhmm)
  return site.minuteOfDay(at - worldStepS * 1_000) <= due && due < site.minuteOfDay(at)
}

export function stepWorkshop(workshop: Workshop, moment: Moment): void {
  const { at, site } = moment
  const air = corridorAir(at, site)
  const airC = air.airC + moment.unrestC
  workshop.corridor = { airC, ratio: air.ratio, humidity: relativeHumidityOf(airC, air.ratio, seaLevelPa) ?? 0 }
  workshop.slurryC += ((22 - workshop.slurryC) * worldStepS) / (6 * 3_600)
  for (const [station, place] of Object.entries(workshop.pots)) stepPot(place, station, airC, moment)
  for (const [station, place] of Object.entries(workshop.rooms)) stepRoom(place, station, workshop, moment)
  for (const [station, place] of Object.entries(workshop.kilns)) stepKilnPlace(place, station, moment)
}

function stepPot(place: PotPlace, station: string, ambientC: number, { at, site, incidents }: Moment): void {
  const habit = potHabit(station, at, site)
  const isolated = incidents.isolated(station, at)
  const welded = standing(incidents.faults, 'welded-relay', station, at) !== undefined
  place.lidOn = habit.lidOn || isolated
  place.stirred = habit.stirred && !isolated
  place.mains = incidents.mains(at) && !isolated
  const controls = { ...habit, lidOn: place.lidOn, stirred: place.stirred, ambientC, mains: place.mains, welded }
  place.state = stepWaxPot(place.pot, place.state, controls, worldStepS)
}

function stepRoom(place: RoomPlace, station: string, workshop: Workshop, moment: Moment): void {
  const { at, incidents } = moment
  place.doorOpen = incidents.doorOpen(station, at)
  place.mains = incidents.mains(at)
  for (const press of incidents.resets)
    if (press.station === station && press.at > at - worldStepS * 1_000 && press.at <= at)
      place.state = reset(place.state, press.machine)
  const air = surrounding(place.state.airC, humidityOf(place.spec, place.state), place.spec.pressurePa)
  let evaporation = 0
  for (const piece of Object.values(place.pieces)) {
    if (piece.dippedAt.some((hhmm) => passes(moment, hhmm))) piece.state = { ...piece.state, wet: 1 }
    evaporation += evaporationKgPerS(piece.spec, piece.state, air)
    piece.state = stepTestPiece(piece.spec, piece.state, air, worldStepS)
  }
  place.state = stepDryingRoom(
    place.spec,
    place.state,
    {
      setC: 22,
      setHumidity: place.setHumidity,
      mains: place.mains,
      fansOn: true,
      doorOpen: place.doorOpen,
      corridorC: workshop.corridor.airC,
      corridorRatio: workshop.corridor.ratio,
      outsideC: workshop.corridor.airC - 1,
      evaporationKgPerS: evaporation,
    },
    worldStepS,
  )
}

function stepKilnPlace(place: KilnPlace, station: string, moment: Moment): void {
  const { at, site, incidents } = moment
  const mains = incidents.mains(at)
  place.doorOpen = kilnDoorOpen(station, at, site)
  const startsAt = kilnStarts[station]
  if (startsAt !== undefined && passes(moment, startsAt)) place.controller = startProgramme(place.state.airC)
  place.controller = stepProgramme(place.programme, place.controller, place.state.airC, mains, worldStepS)
  // A kiln whose programme is through stands with its vent half open until it is used again.
  const through = place.controller.leg >= place.programme.legs.length
  const duty = through ? -0.5 : place.controller.duty
  place.state = stepKiln(
    place.spec,
    place.state,
    { duty, mains, doorOpen: place.doorOpen, yardC: yardC(at, site) },
    worldStepS,
  )
}

export function potMiddleC(place: PotPlace): number {
  return middleC(place.pot, place.state)
}
