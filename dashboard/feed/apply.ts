/** What one message of the gateway does to what the dashboard holds. Pure: the same messages give the same view, however they were cut. */
import {
  type Alarm,
  type Counts,
  type Foundry,
  type Frame,
  type LiveClock,
  type LiveMessage,
  type LivePoint,
  type Quality,
  qualities,
  type SeriesId,
  type SeriesView,
  type StationView,
  type Welcome,
} from '../../shared/contract/index.ts'

export interface View {
  /** Everything up to this seq has been seen. */
  seq: number
  /** What stands here of stations and alarms is that of this seq: frames up to it that are sent again bring only points. */
  head: number
  /** Rises whenever something may have been missed: charts are then read anew. */
  generation: number
  clock: LiveClock
  version: string
  foundryRevision: number
  foundry: Foundry
  latest: ReadonlyMap<SeriesId, SeriesView>
  stations: ReadonlyMap<string, StationView>
  /** Every alarm that is not normal. */
  alarms: ReadonlyMap<string, Alarm>
  counts: Counts
}

export type Applied =
  /** `points` are new to the viewer and belong into the charts. */
  | { is: 'applied'; view: View; points: Readonly<Record<SeriesId, LivePoint[]>> }
  /** Already seen: nothing happens. */
  | { is: 'repeat'; view: View }
  /** Something was missed, between or before: ask for a fresh welcome. */
  | { is: 'gap' }

const nothing: Readonly<Record<SeriesId, LivePoint[]>> = {}

function isNewer(a: SeriesView, b: SeriesView | undefined): boolean {
  return b === undefined || a.measuredAt > b.measuredAt
}

function seriesView(series: SeriesId, [measuredAt, value, quality, lagMs]: LivePoint): SeriesView {
  return { series, value, quality: qualities[quality] as Quality, measuredAt, arrivedAt: measuredAt + lagMs }
}

function withPoints(
  held: ReadonlyMap<SeriesId, SeriesView>,
  readings: Record<SeriesId, LivePoint[]>,
): Map<SeriesId, SeriesView> {
  const latest = new Map(held)
  for (const [series, points] of Object.entries(readings))
    for (const point of points) {
      const view = seriesView(series, point)
      if (isNewer(view, latest.get(series))) latest.set(series, view)
    }
  return latest
}

function withAlarms(held: ReadonlyMap<string, Alarm>, changed: readonly Alarm[]): Map<string, Alarm> {
  const alarms = new Map(held)
  for (const alarm of changed) {
    if (alarm.state === 'normal') alarms.delete(alarm.id)
    else alarms.set(alarm.id, alarm)
  }
  return alarms
}

function welcomed(held: View | null, welcome: Welcome): View {
  const resumed = welcome.resumed && held !== null
  return {
    // What was missed follows as frames, so the place in the stream stays ours.
    seq: resumed ? held.seq : welcome.seq,
    head: welcome.head,
    generation: held === null ? 1 : held.generation + (resumed ? 0 : 1),
    clock: welcome.clock,
    version: welcome.version,
    foundryRevision: welcome.foundryRevision,
    foundry: welcome.foundry,
    latest: new Map(welcome.latest.map((series) => [series.series, series])),
    stations: new Map(welcome.stations.map((station) => [station.station, station])),
    alarms: withAlarms(new Map(), welcome.alarms),
    counts: welcome.counts,
  }
}

/** A frame that the welcome has overtaken: its points were missed, its word on stations and alarms is older than ours. */
function caughtUp(held: View, frame: Frame): View {
  return { ...held, seq: frame.seq, latest: frame.readings ? withPoints(held.latest, frame.readings) : held.latest }
}

function framed(held: View, frame: Frame): View {
  const stations = frame.stations
    ? new Map([...held.stations, ...frame.stations.map((station) => [station.station, station] as const)])
    : held.stations
  return {
    ...held,
    seq: frame.seq,
    clock: frame.clock,
    latest: frame.readings ? withPoints(held.latest, frame.readings) : held.latest,
    stations,
    alarms: frame.alarms ? withAlarms(held.alarms, frame.alarms) : held.alarms,
    counts: frame.counts ?? held.counts,
    ...(frame.foundry ? { foundry: frame.foundry.foundry, foundryRevision: frame.foundry.revision } : {}),
  }
}

/** An instrument that is claimed now and of which we hold nothing may have been heard before we came: only a welcome tells. */
function meetsStranger(held: View, { foundry }: Frame): boolean {
  if (!foundry) return false
  const known = new Set(held.foundry.instruments.map((i) => i.id))
  const heardOf = (id: string) => [...held.latest.keys()].some((series) => series.startsWith(`${id}.`))
  return foundry.foundry.instruments.some(({ id }) => !known.has(id) && !heardOf(id))
}

export function apply(held: View | null, message: LiveMessage): Applied {
  if (message.is === 'welcome') return { is: 'applied', view: welcomed(held, message), points: nothing }
  if (held === null) return { is: 'gap' }
  if (message.after !== held.seq) return message.seq <= held.seq ? { is: 'repeat', view: held } : { is: 'gap' }
  const isPast = message.seq > message.after && message.seq <= held.head
  if (!isPast && meetsStranger(held, message)) return { is: 'gap' }
  return {
    is: 'applied',
    view: isPast ? caughtUp(held, message) : framed(held, message),
    points: message.readings ?? nothing,
  }
}
