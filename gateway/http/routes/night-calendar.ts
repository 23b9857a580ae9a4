/** The calendar of nights, from sums alone. */
import { Fault, type GlanceLine, type NightsBody, seriesId, type Station } from '../../../shared/contract/index.ts'
import type { Sums } from '../../../shared/series/sums.ts'
import { dayMs, type EpochMs } from '../../../shared/time.ts'
import type { NightRun } from '../../record/night/material.ts'
import { type BandQuantity, bandOf, leadingOf } from '../../record/night/review.ts'
import { nightDateOf, periodEdges } from '../../zone.ts'
import type { Rooms } from '../rooms.ts'
import { nightRun } from './night-material.ts'
import { rulesOf } from './series.ts'

/** Nights of one calendar: a year and a day. */
const nightsMax = 367
const yearMs = 365 * dayMs

/** The drying recipe that was last used in the room. */
function newestRun(rooms: Rooms, station: string): NightRun | undefined {
  const { foundry } = rooms.foreman.house.rules
  const run = rooms.foreman.ledger
    .list()
    .find((r) => r.declaration.kind === 'drying' && r.declaration.station === station)
  return run && nightRun(foundry, run)
}

export async function calendar(rooms: Rooms, from: EpochMs, to: EpochMs): Promise<NightsBody> {
  if (to <= from) throw new Fault('bad-request', 'A calendar needs `from` before `to`.')
  const { foundry } = rooms.foreman.house.rules
  const { timeZone } = foundry.site
  let edges: EpochMs[]
  try {
    edges = periodEdges(timeZone, 'night', from, to, nightsMax)
  } catch (error) {
    if (error instanceof RangeError) throw new Fault('bad-request', `${error.message} Ask for fewer at once.`)
    throw error
  }
  const body: NightsBody = { timeZone, bands: [], items: [] }
  body.items = edges.slice(1).map((end, i) => ({
    date: nightDateOf(timeZone, edges[i] as number),
    from: edges[i] as number,
    to: end,
    rooms: [],
  }))
  for (const station of foundry.stations.filter((s) => s.kind === 'dry-room')) {
    const lines = await Promise.all(
      (['temperature', 'humidity'] as const).map((quantity) => glanceLines(rooms, station, quantity, edges)),
    )
    const [temperature, humidity] = lines
    for (const [i, quantity] of (['temperature', 'humidity'] as const).entries())
      body.bands.push({ station: station.id, quantity, band: lines[i]?.band ?? null })
    body.items.forEach((item, i) => {
      item.rooms.push({
        station: station.id,
        temperature: temperature?.items[i] ?? null,
        humidity: humidity?.items[i] ?? null,
      })
    })
  }
  body.items.reverse()
  return body
}

async function glanceLines(rooms: Rooms, station: Station, quantity: BandQuantity, edges: readonly EpochMs[]) {
  const { foundry } = rooms.foreman.house.rules
  const leading = leadingOf(
    station,
    foundry.instruments.filter((i) => i.station === station.id),
  )
  const rules = leading === undefined ? undefined : rulesOf(rooms, seriesId(leading, quantity))
  if (!rules || leading === undefined) return { band: null, items: [] as GlanceLine[] }
  const band = bandOf(foundry, station, newestRun(rooms, station.id), leading, quantity)
  const sums = await rooms.store.sums({
    series: rules.series,
    edges,
    silenceMs: rules.silenceMs,
    band: { from: band?.from ?? null, to: band?.to ?? null },
    ...(rules.interpretation && { interpretation: rules.interpretation }),
  })
  return { band, items: sums.map(glance) }
}

function glance({ coverage, longestHoleMs, seenMs, inBandMs, beyond, lowest, highest }: Sums): GlanceLine {
  return { coverage, longestHoleMs, seenMs, inBandMs, beyond, lowest: lowest?.v ?? null, highest: highest?.v ?? null }
}

/** Sums up a year of nights for nobody: they are remembered, and the first who asks should not be the one who waits. */
export async function sumUpYear(rooms: Rooms): Promise<void> {
  const now = rooms.clock.now()
  if (rooms.knowsTime()) await calendar(rooms, now - yearMs, now)
}
