/** When two entries are the same, and which numbers can be kept at all: the rules that every body of the store shares. */
import type { EntryOf, NewEntry, SeriesId } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'
import { NotStorable } from './refusal.ts'

export type NewReading = Extract<NewEntry, { kind: 'reading' }>
/** Everything that is no reading: kept whole, as JSON, in order of arrival. */
export type NewNote = Exclude<NewEntry, { kind: 'reading' }>
export type NoteKind = NewNote['kind']

/** Throws NotStorable for a number that would not come back as it was. */
export function checkNumbers(entry: NewEntry): void {
  if (!Number.isSafeInteger(entry.at)) refuse(entry, 'at', entry.at)
  switch (entry.kind) {
    case 'reading':
      if (!Number.isSafeInteger(entry.measuredAt)) refuse(entry, 'measuredAt', entry.measuredAt)
      if (!Number.isFinite(entry.value)) refuse(entry, 'value', entry.value)
      if (entry.claimedAt !== undefined && !Number.isSafeInteger(entry.claimedAt))
        refuse(entry, 'claimedAt', entry.claimedAt)
      return
    case 'fault':
      if (!Number.isSafeInteger(entry.measuredAt)) refuse(entry, 'measuredAt', entry.measuredAt)
      return
    case 'conflict':
      if (!Number.isSafeInteger(entry.measuredAt)) refuse(entry, 'measuredAt', entry.measuredAt)
      if (!Number.isFinite(entry.kept)) refuse(entry, 'kept', entry.kept)
      if (!Number.isFinite(entry.refused)) refuse(entry, 'refused', entry.refused)
      return
  }
}

function refuse(entry: NewEntry, name: string, number: number): never {
  throw new NotStorable(
    `A ${entry.kind} has ${number} as its ${name}, which cannot be stored; nothing of its batch was kept.`,
  )
}

/** The key under which an entry may stand only once; null where it may come as often as it likes. */
export function onceKey(note: NewNote): string | null {
  switch (note.kind) {
    case 'fault':
      return `fault ${note.instrument} ${note.measuredAt}`
    case 'conflict':
      return `conflict ${note.series} ${note.measuredAt} ${note.refused}`
    default:
      return null
  }
}

/** What is kept beside the reading that already stands at this instant. */
export function conflictOf(refused: NewReading, measuredAt: EpochMs, kept: number): Omit<EntryOf<'conflict'>, 'seq'> {
  return { kind: 'conflict', at: refused.at, series: refused.series, measuredAt, kept, refused: refused.value }
}

/** A zero has no sign here: SQLite keeps none, and no thermometer means one. */
export function unsigned(value: number): number {
  return value === 0 ? 0 : value
}

/**
 * Where to begin looking for a free instant of a series. A stretch once found full stays full; without this
 * memory a backlog of n readings that all arrived in one millisecond would cost n² looks.
 */
export class FullStretches {
  readonly #bySeries = new Map<SeriesId, { from: EpochMs; to: EpochMs }>()

  firstCandidate(series: SeriesId, at: EpochMs): EpochMs {
    const full = this.#bySeries.get(series)
    return full !== undefined && full.from <= at && at <= full.to ? full.to + 1 : at
  }

  /** Everything from `at` to `taken` is full now. */
  learn(series: SeriesId, at: EpochMs, taken: EpochMs): void {
    const full = this.#bySeries.get(series)
    const grows = full !== undefined && full.from <= at && at <= full.to + 1
    this.#bySeries.set(series, { from: grows ? full.from : at, to: taken })
  }

  /** After a rollback, or when the oldest were let go: what was learnt from readings that are gone again is not true. */
  forget(): void {
    this.#bySeries.clear()
  }
}
