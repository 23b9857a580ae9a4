/** The invented night: a door that did not latch, a power dip with three consequences, a pot that would not stop. */
import { type EpochMs, hourMs } from '../../shared/time.ts'
import type { Fault } from '../faults.ts'
import type { SiteTime } from '../site-time.ts'

/** What of the world an incident changes. */
export interface Incidents {
  faults: readonly Fault[]
  mains(at: EpochMs): boolean
  /** Kilns hang on a supply of their own that dips at the same time. */
  doorOpen(station: string, at: EpochMs): boolean
  isolated(station: string, at: EpochMs): boolean
  /** Who presses reset on what, and when. */
  resets: readonly { at: EpochMs; station: string; machine: 'cooling' | 'dehumidifier' }[]
}

export const noIncidents: Incidents = {
  faults: [],
  mains: () => true,
  doorOpen: () => false,
  isolated: () => false,
  resets: [],
}

/** Instruments behind the network switch that the power dip takes with it; the pot node has no battery. */
const behindTheSwitch = [
  { instrument: 'k2-air-a', keeps: true },
  { instrument: 'k2-air-b', keeps: true },
  { instrument: 'k2-load', keeps: true },
  { instrument: 'corridor-air', keeps: true },
  { instrument: 'slurry-mid', keeps: true },
  { instrument: 'w3-top', keeps: false },
  { instrument: 'w3-bottom', keeps: false },
]

/** Drift of the second K2 probe: 9 °C low at 700 °C, and nothing that one night would show. */
export function quietDrift(from: EpochMs): Fault {
  return { fault: 'decalibrated', instrument: 'k2-air-b', share: -9 / 700, from, to: Number.MAX_SAFE_INTEGER }
}

export function storyNight(eveningAt: EpochMs, site: SiteTime): Incidents {
  const evening = (hhmm: string) => site.instant(eveningAt, hhmm)
  const morning = (hhmm: string) => site.instant(eveningAt + 12 * hourMs, hhmm)
  const dip = { from: morning('00:18'), to: morning('00:43') }
  const switchBack = morning('00:44')
  const weldedAt = morning('04:45')
  const isolatedAt = morning('06:15')
  const door = { from: evening('21:40'), to: evening('23:10') }
  return {
    faults: [
      quietDrift(eveningAt),
      ...behindTheSwitch.map(
        ({ instrument, keeps }): Fault => ({ fault: 'lost-link', instrument, keeps, from: dip.from, to: switchBack }),
      ),
      { fault: 'welded-relay', station: 'W1', from: weldedAt, to: Number.MAX_SAFE_INTEGER },
      { fault: 'duplicates', instrument: 'd1-p1', share: 0.02, from: eveningAt, to: Number.MAX_SAFE_INTEGER },
    ],
    mains: (at) => at < dip.from || at >= dip.to,
    doorOpen: (station, at) => station === 'D2' && at >= door.from && at < door.to,
    isolated: (station, at) => station === 'W1' && at >= isolatedAt,
    resets: [
      { at: morning('02:29'), station: 'D1', machine: 'cooling' },
      { at: morning('02:34'), station: 'D2', machine: 'dehumidifier' },
    ],
  }
}
