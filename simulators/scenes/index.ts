/** The scenes there are, each with a sentence. */
import type { Foundry } from '../../shared/contract/index.ts'
import { type EpochMs, hourMs, minuteMs } from '../../shared/time.ts'
import type { Fault } from '../faults.ts'
import { inventedFoundry, siteZone } from '../foundry/index.ts'
import { type SiteTime, siteTime } from '../site-time.ts'
import { foundryPeople, nobody } from './people.ts'
import type { Scene } from './scene.ts'
import { type Incidents, noIncidents, storyNight } from './story.ts'
import { workshopWorld } from './world.ts'

/** The latest 17:30 that is not after this instant: where the bodies are known to stand. */
function duskBefore(at: EpochMs, site: SiteTime): EpochMs {
  const today = site.instant(at, '17:30')
  return today <= at ? today : site.instant(at - 24 * hourMs, '17:30')
}

function onlyStation(station: string): Foundry {
  return {
    ...inventedFoundry,
    stations: inventedFoundry.stations.filter((s) => s.id === station),
    instruments: inventedFoundry.instruments.filter((i) => i.station === station),
    recipes: inventedFoundry.recipes.filter((r) => r.kind === 'wax'),
  }
}

/** One of each thing that an instrument can do wrong, a few minutes after the beginning and until the end. */
function troubles(beginAt: EpochMs): readonly Fault[] {
  const span = { from: beginAt + 2 * minuteMs, to: Number.MAX_SAFE_INTEGER }
  const short = { from: beginAt + 3 * minuteMs, to: beginAt + 8 * minuteMs }
  return [
    { fault: 'open-circuit', instrument: 'k1-air-b', ...span },
    { fault: 'drift', instrument: 'd1-air-b', cPerHour: 3, ...span },
    { fault: 'stuck', instrument: 'd2-air-b', ...span },
    { fault: 'skewed-clock', instrument: 'w2-mid', byMs: 2 * hourMs, ...span },
    { fault: 'skewed-clock', instrument: 'w2-ir', byMs: -5 * minuteMs, ...span },
    { fault: 'lost-link', instrument: 'd2-p2', keeps: true, ...short },
    { fault: 'lost-link', instrument: 'd2-p3', keeps: false, ...short },
    { fault: 'duplicates', instrument: 'w1-mid', share: 0.2, ...span },
    { fault: 'out-of-wax', instrument: 'w3-top', ...span },
    { fault: 'decalibrated', instrument: 'k2-air-b', share: -0.013, ...span },
  ]
}

function scene(
  name: string,
  sentence: string,
  incidentsAt: (beginAt: EpochMs, site: SiteTime) => Incidents,
  only?: string,
): Scene {
  return {
    name,
    sentence,
    foundry: only === undefined ? inventedFoundry : onlyStation(only),
    build: (beginAt, seed) => {
      const site = siteTime(siteZone)
      const incidents = incidentsAt(beginAt, site)
      const plan = { duskAt: duskBefore(beginAt, site), beginAt, seed, site, incidents }
      const world = workshopWorld(only === undefined ? plan : { ...plan, only: [only] })
      return { world, people: only === undefined ? foundryPeople(site, beginAt + 14 * hourMs) : nobody }
    },
  }
}

export const scenes: readonly Scene[] = [
  scene(
    'demo',
    'The whole foundry through a night with a door ajar, a power dip and a pot that will not stop, then an ordinary day.',
    (beginAt, site) => storyNight(site.instant(beginAt, '17:30'), site),
  ),
  scene('quiet', 'The whole foundry on ordinary days and nights: nothing goes wrong.', () => noIncidents),
  scene('one-pot', 'One wax pot, W1, with its four instruments.', () => noIncidents, 'W1'),
  scene(
    'troubles',
    'An ordinary day on which instruments go wrong, one in each way, from the second minute on.',
    (beginAt) => ({
      ...noIncidents,
      faults: troubles(beginAt),
    }),
  ),
]

export function sceneNamed(name: string): Scene | undefined {
  return scenes.find((s) => s.name === name)
}
