/** The people of the invented foundry: who starts and ends what, who puts on a coat, who answers an alarm and when. */
import type { Recipe } from '../../shared/contract/index.ts'
import { type EpochMs, minuteMs } from '../../shared/time.ts'
import { recipes } from '../foundry/recipes.ts'
import { minutesOf, type SiteTime } from '../site-time.ts'
import type { Deed, People, World } from './scene.ts'

const caretaker = 'Idris, caretaker'
const onCall = 'Maren, on call'
const early = 'Joan, wax room'
const kilnHand = 'Piet, kiln'
const shellHand = 'Asha, shell room'

type Coat = Extract<Recipe, { kind: 'wax' }>['coats'][number]
const coats: readonly Coat[] = recipes.flatMap((r) => (r.kind === 'wax' && r.id === 'figure-wax' ? r.coats : []))

type Rota = readonly [hhmm: string, deed: Deed][]

const start = (
  by: string,
  kind: 'coating' | 'drying' | 'burnout',
  station: string,
  recipe: string,
  piece: string,
): Deed => ({
  deed: 'start-run',
  by,
  declaration: { kind, station, recipe, piece },
})
const hand = (by: string, station: string, step: string): Deed => ({ deed: 'hand', by, station, hand: step })
const close = (by: string, station: string, reason: string): Deed => ({ deed: 'close-run', by, station, reason })

function weighing(by: string, station: string, probe: string, world: World): Deed[] {
  const grams = world.pieceG(station, probe)
  return grams === null ? [] : [{ deed: 'weigh', by, station, probe, grams }]
}

/** Every day. Times are the house's own. */
const rota: Rota = [
  ['21:20', hand(kilnHand, 'K2', 'vent')],
  ['03:45', hand(onCall, 'K2', 'shut')],
  ['07:25', close(shellHand, 'D2', 'dry, weighed one shell')],
  ['07:35', start(shellHand, 'drying', 'D2', 'backup', '9 shells, next backup coat')],
  ['07:40', start(early, 'coating', 'W2', 'figure-wax', 'Heron, wing panel')],
  ['07:55', close(shellHand, 'D1', 'primes inspected')],
  ['08:05', start(shellHand, 'drying', 'D1', 'prime', '4 shells, second prime')],
  ['13:10', start(early, 'coating', 'W2', 'figure-wax', 'Heron, neck')],
  ['13:40', close(kilnHand, 'K2', 'poured')],
  ['17:20', close(shellHand, 'D1', 'ready for the next dip')],
  ['17:20', close(shellHand, 'D2', 'ready for the next dip')],
  ['17:30', start(kilnHand, 'burnout', 'K2', 'mould-200', '6 moulds, bell brackets')],
  ['17:30', start(shellHand, 'drying', 'D1', 'prime', '4 fresh primes')],
  ['17:30', start(shellHand, 'drying', 'D2', 'backup', '9 shells, backup coat 6')],
]

/** Who weighs the test pieces, and when: wet, on the way, and until nothing changes any more. */
const weighings: readonly [hhmm: string, by: string][] = [
  ['17:38', shellHand],
  ['19:00', shellHand],
  ['20:30', shellHand],
  ['22:00', caretaker],
  ['23:08', caretaker],
  ['05:55', early],
  ['06:40', early],
  ['07:20', shellHand],
]
const testPieces: readonly [station: string, probe: string][] = [
  ['D1', 'd1-p1'],
  ['D2', 'd2-p2'],
  ['D2', 'd2-p3'],
]

/** Who looks at the board between these times, at which alarms, and how often, min. */
interface Watch {
  from: string
  to: string
  by: string
  tiers: readonly string[]
  everyMinutes: number
}

/** On the first night only: by day the alarms are left to whoever looks at the screen. */
const watches: readonly Watch[] = [
  { from: '23:08', to: '23:09', by: caretaker, tiers: ['act-now', 'this-shift'], everyMinutes: 1 },
  { from: '23:30', to: '23:59', by: onCall, tiers: ['act-now'], everyMinutes: 3 },
  { from: '00:00', to: '05:50', by: onCall, tiers: ['act-now'], everyMinutes: 3 },
  { from: '05:50', to: '07:00', by: early, tiers: ['act-now'], everyMinutes: 2 },
]

/** Minutes of local time that pass between two instants, each named once. */
function minutesBetween(from: EpochMs, to: EpochMs, site: SiteTime): number[] {
  const first = Math.ceil(from / minuteMs)
  const minutes: number[] = []
  for (let m = first; m * minuteMs < to; m++) minutes.push(site.minuteOfDay(m * minuteMs))
  return minutes
}

export function foundryPeople(site: SiteTime, watchUntil: EpochMs): People {
  let coating: { station: string; next: number } | null = null

  const coatDue = (world: World): Deed[] => {
    const coat = coating && coats[coating.next]
    const wax = coating && world.waxC(coating.station)
    if (!coating || !coat || wax === null) return []
    const { fromC, toC } = coat.window
    if (wax > fromC + (toC - fromC) * 0.6) return []
    const { station } = coating
    const last = coating.next === coats.length - 1
    coating = last ? null : { station, next: coating.next + 1 }
    const put: Deed = { deed: 'coat', by: early, station, coat: coat.id }
    return last ? [put, close(early, station, 'slushed, wall 5 mm')] : [put]
  }

  return {
    between: (from, to, world) =>
      minutesBetween(from, to, site).flatMap((minute) => {
        const due = rota.filter(([hhmm]) => minutesOf(hhmm) === minute).map(([, deed]) => deed)
        for (const deed of due)
          if (deed.deed === 'start-run' && deed.declaration.kind === 'coating')
            coating = { station: deed.declaration.station, next: 0 }
        const looks = watches
          .filter((w) => from < watchUntil && minute >= minutesOf(w.from) && minute < minutesOf(w.to))
          .filter((w) => (minute - minutesOf(w.from)) % w.everyMinutes === 0)
          .map((w): Deed => ({ deed: 'acknowledge', by: w.by, tiers: w.tiers }))
        const weighed = weighings
          .filter(([hhmm]) => minutesOf(hhmm) === minute)
          .flatMap(([, by]) => testPieces.flatMap(([station, probe]) => weighing(by, station, probe, world)))
        return [...looks, ...weighed, ...due, ...coatDue(world)]
      }),
  }
}

export const nobody: People = { between: () => [] }
