/** The journal: everything the gateway ever learned, one entry after another, with one rising seq. */
import type { DurationMs, EpochMs } from '../time.ts'
import type { Foundry } from './foundry.ts'
import type { Quality, Reading, SeriesId } from './reading.ts'
import type { RunDeclaration, RunStep } from './run.ts'

/** What a person did, by whom. */
export type Act =
  | { act: 'acknowledge'; alarm: string }
  | { act: 'check'; instrument: string; check: Check }
  | { act: 'run-start'; run: string; declaration: RunDeclaration }
  | { act: 'run-step'; run: string; step: RunStep }
  | { act: 'run-undo'; run: string }
  | { act: 'run-close'; run: string; reason: string }
  /** A new batch of wax is in this pot: its hours count from here. */
  | { act: 'new-wax'; station: string; note?: string }
  /** Somebody says that they stirred it. */
  | { act: 'stirred'; station: string }
  /** A table of a stand-alone logger was brought in; its readings are entries of their own. `stopped`: why it ended before the file did. */
  | { act: 'import'; file: string; sha256: string; unreadable: number; stopped?: string; series: ImportedSeries[] }

/** What an instrument is held against in one point. */
export const checkReferences = ['ice-point', 'boiling-point', 'probe'] as const
export type CheckReference = (typeof checkReferences)[number]

/** One check: what the instrument read while it is known how hot it was. It changes nothing by itself. */
export interface Check {
  reference: CheckReference
  /** The instrument that was the reference. */
  probe?: string
  readsC: number
  isC: number
  /** Standard uncertainty of the comparison, °C. */
  uC: number
  /** Readings behind it, their span and how far apart they lay, °C. */
  readings: number
  from: EpochMs
  to: EpochMs
  spreadC: number
}

/** What came of one series in a table. Stored = readings − duplicates − conflicts. */
export interface ImportedSeries {
  series: SeriesId
  readings: number
  duplicates: number
  conflicts: number
  from: EpochMs | null
  to: EpochMs | null
}

/** What was last heard of a series before anybody claimed its instrument. */
export interface Heard {
  series: SeriesId
  measuredAt: EpochMs
  arrivedAt: EpochMs
  value: number
  quality: Quality
}

export type NewEntry = { at: EpochMs } & (
  | ({ kind: 'reading' } & Reading)
  /** The instrument itself says that it cannot measure. */
  | { kind: 'fault'; instrument: string; measuredAt: EpochMs; text: string }
  | { kind: 'presence'; instrument: string; online: boolean }
  /** Nothing came, and that was noticed: the only way in which time passes for the judge. */
  | { kind: 'tick' }
  /** The gateway began; it had last been seen alive at `downSince` (null: never before). */
  | { kind: 'start'; downSince: EpochMs | null }
  /** The wall clock jumped by so much against the steady one. */
  | { kind: 'clock-step'; byMs: DurationMs }
  /** `heard`: the newest readings of instruments that are in it for the first time and have spoken before. */
  | { kind: 'foundry'; revision: number; foundry: Foundry; heard?: readonly Heard[] }
  | ({ kind: 'act'; by: string } & Act)
  /** Same series, same instant, other value: the first is kept in its place, this one beside it. */
  | { kind: 'conflict'; series: SeriesId; measuredAt: EpochMs; kept: number; refused: number }
  /** A message that could not be read, kept with the reason. `payload` is its beginning, as text where it is text, else as hex. */
  | { kind: 'unreadable'; topic: string; reason: string; bytes: number; payload: string }
  /** Readings measured on days that ended before this instant were let go, as the house wished; said before it was done. */
  | { kind: 'retired'; before: EpochMs; readings: number }
  /** The nightly mail was switched on or off: a night whose hour had come before is not mailed. */
  | { kind: 'mailing'; on: boolean }
  /** The review of the night that began on this date was handed to the mail server. Each recipient stands in one of three lists: whose
   *  mail was taken, for whom it is tried again, and who is given up. Said after it was done; the newest of a night says it all. */
  | { kind: 'mailed'; night: string; messageId: string; taken: string[]; waiting: string[]; refused: string[] }
)

/** `at` is the time of arrival in the gateway's time. */
export type Entry = NewEntry & { seq: number }
export type EntryOf<K extends Entry['kind']> = Extract<Entry, { kind: K }>
