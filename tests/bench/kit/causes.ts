/** A held-out night of a dry room as the review sees it: which cause it names for what happened, and what else it names. */
import type { NightMaterial, NightSeries } from '../../../gateway/record/night/material.ts'
import { nightReview } from '../../../gateway/record/night/review.ts'
import {
  Foundry,
  type Instrument,
  type NamedCause,
  type NightCauseKind,
  silenceMsOf,
} from '../../../shared/contract/index.ts'
import type { RoomNight, Track } from '../../held-out/rooms/rooms.ts'

const minuteMs = 60_000
/** A cause is about an event that it begins beside, so many minutes before or after; what lasts may be told later. */
const besideMinutes = 60

export interface NamedNight {
  kind: RoomNight['kind']
  /** The cause whose beginning is nearest to the event's; null where none is beside it. Of a quiet night the first one named. */
  named: NightCauseKind | null
  cause: NamedCause | null
  /** Others that were named and are no consequence of it. */
  others: NightCauseKind[]
  house: RoomNight['house']
}

const known: Record<string, { station: string; kind: Instrument['kind']; place?: string }> = {
  a: { station: 'D', kind: 'climate', place: 'room-air' },
  b: { station: 'D', kind: 'climate', place: 'room-air' },
  hall: { station: 'H', kind: 'climate', place: 'room-air' },
  wax0: { station: 'D', kind: 'thermocouple', place: 'test-piece' },
  wax1: { station: 'D', kind: 'thermocouple', place: 'test-piece' },
  fan: { station: 'D', kind: 'current' },
  door: { station: 'D', kind: 'contact' },
}

/** As a house would set it: how often it usually speaks. */
function intervalS({ t }: Track): number {
  const gaps = t.slice(1).map((at, i) => at - (t[i] as number))
  return Math.max(1, Math.round((gaps.sort((a, b) => a - b)[gaps.length >> 1] ?? 60_000) / 1_000))
}

/** Of the standard atmosphere, m: the site is told by its height. */
const heightM = (pressurePa: number) => Math.round(44_330 * (1 - (pressurePa / 101_325) ** 0.1903))

export function materialOfNight(night: RoomNight): NightMaterial {
  const ids = [...new Set(Object.keys(night.tracks).map((name) => name.split('.')[0] as string))]
  const foundry = Foundry.parse({
    site: { name: 'Held out', timeZone: 'UTC', elevationM: heightM(night.elevationPressurePa) },
    stations: [
      { id: 'D', name: 'Dry room', kind: 'dry-room', leading: 'a', ...(ids.includes('hall') && { opensTo: 'H' }) },
      { id: 'H', name: 'Hall', kind: 'surroundings' },
    ],
    instruments: ids.map((id) => {
      const track = Object.entries(night.tracks).find(([name]) => name.startsWith(`${id}.`))?.[1] as Track
      return { id, name: id, ...known[id], intervalS: intervalS(track) }
    }),
    recipes: [],
  })
  const series = Object.entries(night.tracks).map(([name, { t, v, arrivedAt }]): NightSeries => {
    const [id, quantity] = name.split('.') as [string, NightSeries['quantity']]
    const of = foundry.instruments.find((i) => i.id === id) as Instrument
    return {
      series: name,
      quantity,
      instrument: of,
      silenceMs: silenceMsOf(of),
      backlogMs: 2 * minuteMs,
      columns: {
        t: Float64Array.from(t),
        v: Float64Array.from(v),
        quality: new Uint8Array(t.length),
        arrivedAt: Float64Array.from(arrivedAt),
      },
    }
  })
  return {
    foundry,
    date: '2026-01-01',
    from: night.from,
    to: night.to,
    dusk: night.from + 5.5 * 60 * minuteMs,
    dawn: night.from + 19 * 60 * minuteMs,
    now: night.to,
    series,
    silent: [],
    coverage: [],
    findings: [],
    acts: [],
    starts: [],
    runs: [],
  }
}

export function namedNight(night: RoomNight): NamedNight {
  const { rooms, night: span } = nightReview(materialOfNight(night))
  // As the brief tells them: what happened by day is not the night's.
  const causes = (rooms[0]?.causes ?? []).filter((c) => (c.to ?? Infinity) > span.dusk && c.from < span.dawn)
  const { kind, truth, house } = night
  if (truth === null) {
    const [first, ...more] = causes
    return { kind, named: first?.kind ?? null, cause: first ?? null, others: more.map((c) => c.kind), house }
  }
  const apart = (c: NamedCause) => Math.abs(c.from - truth.from)
  const beside = causes.filter(
    (c) =>
      c.from >= truth.from - besideMinutes * minuteMs && c.from <= (truth.to ?? truth.from) + besideMinutes * minuteMs,
  )
  const [nearest] = [...beside].sort((x, y) => apart(x) - apart(y))
  const isConsequence = (c: NamedCause) => c.evidence.some((e) => e.is === 'after-power-cut')
  return {
    kind,
    named: nearest?.kind ?? null,
    cause: nearest ?? null,
    others: causes.filter((c) => c !== nearest && !isConsequence(c)).map((c) => c.kind),
    house,
  }
}
