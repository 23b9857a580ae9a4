/** The workshop with its instruments: every probe of the invented foundry, tied to the body it looks at. */
import type { EpochMs } from '../../shared/time.ts'
import { humidityOf } from '../bodies/drying-room.ts'
import { bottomC, topC } from '../bodies/wax-pot.ts'
import { bareThermocouples, instruments } from '../foundry/instruments.ts'
import { indicatedC, seenSurfaceC } from '../probes/infrared.ts'
import {
  bareThermocouple,
  climateProbe,
  contactProbe,
  currentProbe,
  infraredProbe,
  type Probe,
  temperatureProbe,
} from '../probes/probe.ts'
import { type Chance, chance } from '../random.ts'
import type { SiteTime } from '../site-time.ts'
import { yardC } from './day.ts'
import { type World, worldStepS } from './scene.ts'
import { type Incidents, noIncidents } from './story.ts'
import { potMiddleC, stepWorkshop, type Workshop, workshopAtDusk } from './workshop.ts'

const mainsV = 230

/** Of figure wax. From memory, no source; the instrument is set a little too high, as most are. */
const waxEmissivity = 0.92
const setEmissivity = 0.95
/** Wax and shell of a test piece without its water, g. Invented. */
const dryPieceG = 812.4

interface Place {
  workshop: Workshop
  now: () => EpochMs
  site: SiteTime
  chance: Chance
  incidents: Incidents
}

function potOf(workshop: Workshop, station: string) {
  const place = workshop.pots[station]
  if (place === undefined) throw new Error(`there is no pot ${station}`)
  return place
}
function roomOf(workshop: Workshop, station: string) {
  const place = workshop.rooms[station]
  if (place === undefined) throw new Error(`there is no room ${station}`)
  return place
}
function kilnOf(workshop: Workshop, station: string) {
  const place = workshop.kilns[station]
  if (place === undefined) throw new Error(`there is no kiln ${station}`)
  return place
}

/** What an instrument looks at, as a function of the present state of the workshop. */
function truthOf(id: string, station: string, { workshop, now, site }: Place): () => number {
  const pot = () => potOf(workshop, station)
  const kiln = () => kilnOf(workshop, station).state
  switch (id) {
    case 'w1-bottom':
    case 'w3-bottom':
      return () => bottomC(pot().pot, pot().state)
    case 'w3-top':
      return () => topC(pot().pot, pot().state)
    case 'd1-p1':
    case 'd2-p2':
    case 'd2-p3':
      return () => roomOf(workshop, station).pieces[id]?.state.waxC ?? Number.NaN
    case 'slurry-mid':
      return () => workshop.slurryC
    case 'k1-air-b':
      // The back wall is nearer to the brick than to the flame.
      return () => kiln().airC - 0.04 * (kiln().airC - yardC(now(), site))
    case 'k1-load':
    case 'k2-load':
      return () => kiln().loadC
    case 'k1-air-a':
    case 'k2-air-a':
    case 'k2-air-b':
      return () => kiln().airC
    default:
      return () => potMiddleC(pot())
  }
}

function probeOf(row: (typeof instruments)[number], place: Place): Probe {
  const { workshop, chance, incidents, now, site } = place
  const { id, station, intervalS } = row
  const surrounds = { chance: chance.branch(id), faults: incidents.faults }
  const around = () => (station.startsWith('K') ? yardC(now(), site) : workshop.corridor.airC)
  const habit = { id, intervalS, lagS: 12, noise: 0.05, step: 0.1 }
  switch (row.kind) {
    case 'climate': {
      // The head by the door feels a little of what comes in.
      const nearDoor = id.endsWith('-b')
      const air = () => {
        if (station === 'corridor') return { airC: workshop.corridor.airC, humidity: workshop.corridor.humidity }
        const room = roomOf(workshop, station)
        return {
          airC: room.state.airC + (nearDoor ? 0.15 : 0),
          humidity: humidityOf(room.spec, room.state) - (nearDoor ? 0.6 : 0),
        }
      }
      return climateProbe({ ...habit, lagS: 45, noise: 0.02, step: 0.01 }, air, surrounds)
    }
    case 'infrared': {
      const pot = potOf(workshop, station)
      const sees = () => {
        const ambient = workshop.corridor.airC
        const surfaceC = seenSurfaceC(topC(pot.pot, pot.state), ambient, pot.lidOn, pot.stirred)
        const view = { surfaceC, emissivity: waxEmissivity, setEmissivity, reflectedC: ambient, compensatedC: 21 }
        return indicatedC(view) ?? Number.NaN
      }
      const setting = { emissivity: setEmissivity, reflectedCelsius: 21 }
      return infraredProbe({ ...habit, lagS: 1, noise: 0.15 }, sees, setting, surrounds)
    }
    case 'contact':
      return contactProbe(id, intervalS, () =>
        station.startsWith('K') ? !kilnOf(workshop, station).doorOpen : !roomOf(workshop, station).doorOpen,
      )
    case 'current':
      return currentProbe(id, intervalS, () => ampsOf(station, workshop), surrounds)
    default: {
      const truth = truthOf(id, station, place)
      const type = bareThermocouples[id]
      const slow = { ...habit, lagS: station.startsWith('K') ? 25 : 12, noise: station.startsWith('K') ? 0.2 : 0.05 }
      if (type !== undefined) return bareThermocouple(slow, type, truth, around, surrounds)
      return temperatureProbe(slow, truth, around, surrounds, id === 'w5-mid' ? 'fahrenheit' : 'celsius')
    }
  }
}

function ampsOf(station: string, workshop: Workshop): number {
  const pot = workshop.pots[station]
  if (pot !== undefined) return pot.mains && pot.state.relay === 1 ? pot.pot.spec.heaterW / mainsV : 0
  const room = roomOf(workshop, station)
  return room.mains ? room.spec.fansW / mainsV : 0
}

/** The slow unrest of the workshop's air: pulled back to nothing within the hour, pushed about by draughts. */
function unrest(chance: Chance): () => number {
  let value = 0
  return () => {
    value += (-value * worldStepS) / 3_600 + 0.012 * chance.gauss()
    return value
  }
}

export interface WorldPlan {
  /** The evening from which the bodies are run, unseen, up to the beginning. */
  duskAt: EpochMs
  beginAt: EpochMs
  seed: number
  site: SiteTime
  incidents: Incidents
  /** Only the instruments of these stations; all where none is named. */
  only?: readonly string[]
}

export function workshopWorld(plan: WorldPlan): World {
  const workshop = workshopAtDusk()
  const root = chance(plan.seed)
  const draught = unrest(root.branch('draught'))
  let now = plan.duskAt
  const place = { workshop, now: () => now, site: plan.site, chance: root, incidents: plan.incidents }
  const probes = instruments
    .filter((row) => plan.only === undefined || plan.only.includes(row.station))
    .map((row) => probeOf(row, place))
  const move = (at: EpochMs, incidents: Incidents) => {
    now = at
    stepWorkshop(workshop, { at, site: plan.site, incidents, unrestC: draught() })
  }
  for (let at = plan.duskAt; at < plan.beginAt; at += worldStepS * 1_000) move(at, noIncidents)
  return {
    probes,
    faults: plan.incidents.faults,
    step: (at) => {
      move(at, plan.incidents)
      for (const probe of probes) probe.live(at, worldStepS)
    },
    waxC: (station) => {
      const pot = workshop.pots[station]
      return pot === undefined ? null : potMiddleC(pot)
    },
    pieceG: (station, id) => {
      const piece = workshop.rooms[station]?.pieces[id]
      if (piece === undefined) return null
      const grams = dryPieceG + 1_000 * piece.spec.waterKg * Math.max(0, piece.state.wet)
      return Math.round(10 * grams) / 10
    },
  }
}
