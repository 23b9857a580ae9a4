/** What a night is reviewed from, read together: readings as they are meant, findings, acts and runs. */
import {
  Fault,
  type Foundry,
  type Instrument,
  instrumentsMax,
  nightHoursDefault,
  type Quantity,
  seriesId,
} from '../../../shared/contract/index.ts'
import type { SeriesRules, StationRules } from '../../../shared/judge/index.ts'
import { interpreted } from '../../../shared/physics/interpretation.ts'
import { badQuality } from '../../../shared/series/columns.ts'
import { type EpochMs, hourMs } from '../../../shared/time.ts'
import type { NightColumns, NightMaterial, NightRun, NightSeries } from '../../record/night/material.ts'
import type { RunEntry } from '../../foreman/ledger.ts'
import { nightDateOf, nightOf } from '../../zone.ts'
import type { Rooms } from '../rooms.ts'
import { rulesOf } from './series.ts'

/** Readings that one review is made from. Reason: a hundred series at 1 Hz for a day. */
const reviewReadingsMax = 10_000_000
const findingsMax = 5_000
const actsPage = 2_000

/** Its date and edges; the last night is the newest whose dusk has come. */
function spanOf(rooms: Rooms, date: string) {
  const { site } = rooms.foreman.house.rules.foundry
  const hours = site.night ?? nightHoursDefault
  const now = rooms.clock.now()
  const named = (one: string) => ({ date: one, ...nightOf(site.timeZone, one, hours) })
  if (date === 'last') {
    const tonight = named(nightDateOf(site.timeZone, now))
    return tonight.dusk <= now ? tonight : named(nightDateOf(site.timeZone, tonight.from - 1))
  }
  try {
    return named(date)
  } catch (error) {
    if (error instanceof RangeError) throw new Fault('bad-request', `There is no ${date} in the calendar.`)
    throw error
  }
}

/** Of the night that began on this local date; a sentence where there is none to review. */
export async function materialOf(rooms: Rooms, asked: string): Promise<NightMaterial> {
  const { rules } = rooms.foreman.house
  const span = spanOf(rooms, asked)
  const now = rooms.clock.now()
  if (span.from > now) throw new Fault('bad-request', `The night of ${span.date} has not begun.`)
  const upTo = Math.min(span.to, now)
  await rooms.foreman.keep(false)
  const findings = await rooms.store.findings({ from: span.from - 24 * hourMs, to: upTo, limit: findingsMax })
  const quiet = findings.filter((f) => f.kind === 'gone-quiet')
  const watched = rules.stations.filter((s) => s.station.kind === 'dry-room' || s.station.kind === 'surroundings')
  const count = { readings: 0 }
  const series: NightSeries[] = []
  const silent: NightSeries[] = []
  for (const station of watched)
    for (const one of seriesWanted(station))
      series.push(await readSeries(rooms, station, one, span.from - hourMs, upTo, count))
  for (const finding of quiet) {
    const at = rules.instrumentAt.get(finding.instrument ?? finding.subject)
    const station = at && rules.stations[at.station]
    if (!station || watched.includes(station)) continue
    const one = station.series.find((s) => s.instrument === at.instrument)
    const from = finding.facts.lastAt ?? finding.since
    if (one) silent.push(await readSeries(rooms, station, one, from, finding.clearedAt ?? upTo, count))
  }
  return {
    foundry: rules.foundry,
    ...span,
    now,
    series,
    silent,
    coverage: await coverageOf(rooms, span.dusk, Math.min(span.dawn, upTo)),
    findings,
    acts: await since((before) => rooms.store.newest('act', actsPage, before), span.from - hourMs),
    starts: await since((before) => rooms.store.newest('start', actsPage, before), span.from),
    runs: rooms.foreman.ledger.list().map((r) => nightRun(rules.foundry, r)),
  }
}

/** What a room is reviewed by. */
function seriesWanted({ series, instruments }: StationRules): SeriesRules[] {
  const wanted: Partial<Record<Instrument['kind'], readonly Quantity[]>> = {
    climate: ['temperature', 'humidity'],
    thermocouple: ['temperature'],
    current: ['current'],
    contact: ['contact'],
  }
  return series.filter((s) => {
    const instrument = instruments[s.instrument]
    return instrument && (wanted[instrument.kind]?.includes(s.quantity) ?? false)
  })
}

/** Readings of one series as they are meant, over a span; counted, and refused beyond what one answer may take. */
export async function readSeries(
  rooms: Rooms,
  station: StationRules,
  one: SeriesRules,
  from: EpochMs,
  to: EpochMs,
  count: { readings: number },
): Promise<NightSeries> {
  const pieces: NightColumns[] = []
  for await (const { t, v, quality, arrivedAt } of rooms.store.scan(one.series, from, to)) {
    count.readings += t.length
    if (count.readings > reviewReadingsMax)
      throw new Fault(
        'too-large',
        `The review of this night would take more than ${reviewReadingsMax} readings; look at its series one by one instead.`,
      )
    pieces.push({ t, v, quality, arrivedAt })
  }
  const columns = joined(pieces)
  if (one.interpretation)
    for (let i = 0; i < columns.t.length; i++) {
      const meant = interpreted(one.interpretation, columns.v[i] as number, columns.t[i] as number)
      if (typeof meant === 'number') columns.v[i] = meant
      else columns.quality[i] = badQuality
    }
  const instrument = station.instruments[one.instrument] as Instrument
  return {
    series: one.series,
    quantity: one.quantity,
    instrument,
    silenceMs: one.silenceMs,
    backlogMs: one.backlogMs,
    columns,
  }
}

function joined(pieces: readonly NightColumns[]): NightColumns {
  const length = pieces.reduce((sum, p) => sum + p.t.length, 0)
  const all: NightColumns = {
    t: new Float64Array(length),
    v: new Float64Array(length),
    quality: new Uint8Array(length),
    arrivedAt: new Float64Array(length),
  }
  let at = 0
  for (const p of pieces) {
    all.t.set(p.t, at)
    all.v.set(p.v, at)
    all.quality.set(p.quality, at)
    all.arrivedAt.set(p.arrivedAt, at)
    at += p.t.length
  }
  return all
}

/** What people did, or when we began, since an instant, page by page. */
async function since<E extends { seq: number; at: EpochMs }>(
  page: (before: number | undefined) => Promise<E[]>,
  from: EpochMs,
): Promise<E[]> {
  const all: E[] = []
  for (let before: number | undefined; ; ) {
    const some = await page(before)
    all.push(...some.filter((e) => e.at >= from))
    const oldest = some.at(-1)
    if (some.length < actsPage || !oldest || oldest.at < from) return all
    before = oldest.seq
  }
}

export function nightRun(foundry: Foundry, run: RunEntry): NightRun {
  const { declaration: d } = run
  const newest = foundry.recipes.filter((r) => r.id === d.recipe).reduce((n, r) => Math.max(n, r.revision), 1)
  return {
    id: run.id,
    kind: d.kind,
    station: d.station,
    recipe: d.recipe,
    revision: run.recipeRevision ?? d.revision ?? newest,
    piece: d.piece ?? null,
    startedAt: run.startedAt,
    startedBy: run.startedBy,
    endedAt: run.endedAt,
    closedBy: run.closed?.by ?? null,
  }
}

/** Of every instrument's temperature: how much was seen of the dark hours. */
async function coverageOf(rooms: Rooms, from: EpochMs, upTo: EpochMs): Promise<NightMaterial['coverage']> {
  const { instruments } = rooms.foreman.house.rules.foundry
  const all: { series: string; coverage: number }[] = []
  if (upTo <= from) return all
  for (const instrument of instruments.slice(0, instrumentsMax)) {
    const rules = rulesOf(rooms, seriesId(instrument.id, 'temperature'))
    if (!rules) continue
    const [sums] = await rooms.store.sums({ series: rules.series, edges: [from, upTo], silenceMs: rules.silenceMs })
    all.push({ series: rules.series, coverage: sums?.coverage ?? 0 })
  }
  return all
}
