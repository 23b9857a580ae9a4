/** The review of a night, put together: rooms with their lines and causes, alarms, outages, and what late readings changed. */
import type {
  Foundry,
  Instrument,
  NamedCause,
  NightBand,
  NightExcursion,
  NightLine,
  NightReview,
  NightRoom,
  Station,
} from '../../../shared/contract/index.ts'
import type { RoomCourse } from '../../../shared/judge/index.ts'
import { pressureAtPa } from '../../../shared/physics/humidity.ts'
import { type EpochMs, minuteMs } from '../../../shared/time.ts'
import { absencesOf, alarmsOf, outagesOf, withSeenBy } from './alarms.ts'
import { type AmendedLine, amendmentOf } from './amended.ts'
import { causesIn, courseOf } from './course.ts'
import { type LineSpan, nightLine, statisticsOf } from './line.ts'
import type { NightMaterial, NightRun, NightSeries } from './material.ts'
import { dryingRecipe, pieceOf } from './pieces.ts'

const seaLevelPa = 101_325
/** An excursion may begin so long after its cause: a room is slow. */
const causeLagMs = 45 * minuteMs

export type BandQuantity = 'temperature' | 'humidity'
const isBandQuantity = (quantity: string): quantity is BandQuantity =>
  quantity === 'temperature' || quantity === 'humidity'

/** The drying that stood in the room for most of the dark hours. */
function mainRun(runs: readonly NightRun[], { dusk, dawn }: LineSpan): NightRun | undefined {
  const stood = (r: NightRun) => Math.min(r.endedAt ?? dawn, dawn) - Math.max(r.startedAt, dusk)
  return runs.filter((r) => stood(r) > 0).sort((a, b) => stood(b) - stood(a))[0]
}

/** What the room is held against: the recipe of this run where there is one, else its standing limits. */
export function bandOf(
  foundry: Foundry,
  station: Station,
  run: Pick<NightRun, 'recipe' | 'revision'> | undefined,
  instrument: string,
  quantity: BandQuantity,
): NightBand | null {
  const recipe = run && dryingRecipe(foundry, run)
  if (run && recipe) {
    const { temperature, humidity } = recipe
    const owner = { is: 'recipe', recipe: run.recipe, revision: run.revision } as const
    if (quantity === 'temperature') return { from: temperature.fromC, to: temperature.toC, owner }
    if (humidity) return { from: humidity.from, to: humidity.to, owner }
  }
  const limit = station.limits.find(
    (l) =>
      l.kind === 'window' && l.quantity === quantity && (l.instrument === undefined || l.instrument === instrument),
  )
  return limit?.kind === 'window' ? { from: limit.from ?? null, to: limit.to ?? null, owner: { is: 'limits' } } : null
}

/** Which of the causes made this excursion: the one that began before it, last; by what it moves. */
function causeOf(excursion: NightExcursion, quantity: BandQuantity, causes: readonly NamedCause[]): number | null {
  const moves: Record<BandQuantity, readonly NamedCause['kind'][]> = {
    temperature: ['cooling', 'heating', 'door', 'sensor', 'fan', 'power-cut'],
    humidity: ['dehumidifier', 'door', 'sensor', 'cooling', 'heating', 'power-cut'],
  }
  let best: number | null = null
  causes.forEach((cause, i) => {
    const begins = cause.from <= excursion.from + 5 * minuteMs
    const lasts = (cause.to ?? Infinity) + causeLagMs >= excursion.from
    if (!moves[quantity].includes(cause.kind) || !begins || !lasts) return
    const before = best === null ? undefined : causes[best]
    if (!before || moves[quantity].indexOf(cause.kind) <= moves[quantity].indexOf(before.kind)) best = i
  })
  return best
}

/** The probe that stands for the room. */
export function leadingOf(station: Station, instruments: readonly Instrument[]): string | undefined {
  return station.leading ?? instruments.find((i) => i.kind === 'climate')?.id
}

function outsideOf(foundry: Foundry, station: Station, series: readonly NightSeries[]): NightSeries[] {
  const of = (id: string) => series.filter((s) => s.instrument.station === id && s.instrument.kind === 'climate')
  if (station.opensTo !== undefined) return of(station.opensTo)
  return (
    foundry.stations
      .filter((s) => s.kind === 'surroundings')
      .map((s) => of(s.id))
      .find((s) => s.length > 0) ?? []
  )
}

/** One room before anything is said of why. */
interface Looked {
  station: Station
  dryings: readonly NightRun[]
  mine: readonly NightSeries[]
  bands: AmendedLine[]
  lines: NightLine[]
  course: RoomCourse | null
}

function lookAt(material: NightMaterial, station: Station, span: LineSpan): Looked {
  const { foundry, series, runs } = material
  const mine = series.filter((s) => s.instrument.station === station.id)
  const leading = leadingOf(
    station,
    foundry.instruments.filter((i) => i.station === station.id),
  )
  const dryings = runs
    .filter((r) => r.kind === 'drying' && r.station === station.id)
    .filter((r) => r.startedAt < span.upTo && (r.endedAt ?? Infinity) > span.from)
  const main = mainRun(dryings, span)
  const climate = mine.filter((s) => s.instrument.kind === 'climate' && isBandQuantity(s.quantity))
  const bands = climate.map((one) => ({
    one,
    band: bandOf(foundry, station, main, one.instrument.id, one.quantity as BandQuantity),
  }))
  const lines = bands.map(({ one, band }) =>
    nightLine(one, one.quantity as BandQuantity, one.instrument.id === leading, band, span),
  )
  const course = courseOf(
    { leading, mine, outside: outsideOf(foundry, station, series), all: series },
    {
      from: span.from,
      dusk: span.dusk,
      upTo: span.upTo,
      pressurePa: pressureAtPa(foundry.site.elevationM) ?? seaLevelPa,
      absences: absencesOf(material, span.from, span.upTo),
    },
  )
  return { station, dryings, mine, bands, lines, course }
}

function roomOf(looked: Looked, causes: NamedCause[], material: NightMaterial, span: LineSpan): NightRoom {
  const { station, dryings, mine } = looked
  const lines = looked.lines.map(
    (line): NightLine => ({
      ...line,
      excursions: withSeenBy(line, station.id, material).map((e) => ({
        ...e,
        cause: causeOf(e, line.quantity, causes),
      })),
    }),
  )
  const probes = mine.filter((s) => s.instrument.place === 'test-piece' && s.quantity === 'temperature')
  const pieces = dryings.map((run) => pieceOf(run, material.foundry, lines, probes, span.from, span.upTo))
  return { station: station.id, lines, causes, pieces }
}

/** Whether most of a span was seen in the end. */
function isFilledIn(series: readonly NightSeries[]) {
  return (instrument: string, from: EpochMs, to: EpochMs): boolean => {
    const one = series.find((s) => s.instrument.id === instrument)
    return one !== undefined && from < to && statisticsOf(one.columns, null, one.silenceMs, from, to).coverage > 0.5
  }
}

export function nightReview(material: NightMaterial): NightReview {
  const { foundry, from, to, dusk, dawn, date, now } = material
  const upTo = Math.max(from + 1, Math.min(to, now))
  const span: LineSpan = { from, upTo, dusk, dawn }
  const looked = foundry.stations.filter((s) => s.kind === 'dry-room').map((s) => lookAt(material, s, span))
  const causes = causesIn(looked.map((l) => l.course))
  return {
    night: { date, timeZone: foundry.site.timeZone, from, to, dusk, dawn, upTo },
    rooms: looked.map((l, i) => roomOf(l, causes[i] ?? [], material, span)),
    alarms: alarmsOf(material, from, upTo),
    outages: outagesOf(material, from, upTo, isFilledIn([...material.series, ...material.silent])),
    coverage: [...material.coverage],
    amended: amendmentOf(
      looked.flatMap((l) => l.bands),
      from,
      dawn,
      now,
    ),
  }
}
