/** The examiner: looks at the readings of one station and names which instrument lies, and how. Pure; what was handed out is never changed. */
import { type Quantity, sensorCodes } from '../../contract/index.ts'
import type { EpochMs } from '../../time.ts'
import { closed } from './close.ts'
import type { Examination, Heard, Life, Track } from './exam.ts'
import { added, minuteMsFor, minuteWith, type OpenMinute } from './minute.ts'
import { newNoise } from './noise.ts'
import { heardLate, listened, silentMs, unilateralSilence, withoutValue } from './silence.ts'
import type { ExaminedStation } from './station.ts'

export type { Examination } from './exam.ts'
export type { ExaminedInstrument, ExaminedStation } from './station.ts'

const newTrack: Track = {
  end: -1,
  course: [],
  frozen: false,
  run: 0,
  runAt: 0,
  longest: 0,
  step: 0,
  minutes: 0,
  voidSince: null,
  noise: newNoise,
}

function newLife(instrument: string): Life {
  return { instrument, hoursAbove800: 0, passes250to550: 0, hoursAt250to550: 0, firings: 0, differences: [] }
}

export function newExamination(station: ExaminedStation): Examination {
  const { instruments } = station
  const measuring = instruments.filter(
    ({ kind }) => kind === 'thermocouple' || kind === 'infrared' || kind === 'climate',
  )
  return {
    doubts: [],
    lives: instruments.map(({ id }) => newLife(id)),
    minutes: [...instruments, ...instruments].map(() => null),
    watch: {
      minuteMs: minuteMsFor(measuring.map(({ intervalMs }) => intervalMs)),
      frame: -1,
      tracks: [...instruments, ...instruments].map(() => newTrack),
      suspicions: [],
      optics: [],
      pairings: [],
      melts: [],
      firing: null,
      firings: 0,
      past: [],
      sides: instruments.map(() => 0),
      lags: [],
      heard: instruments.map(() => ({ lastAt: 0, at: 0, aloneMs: 0 })),
      lookedAt: 0,
    },
  }
}

/** A silence of three intervals, and never less than 30 s, is a hole: the same as the house's own default. */
export function holeMsOf(intervalMs: number): number {
  return Math.max(3 * intervalMs, 30_000)
}

/** The slot of a series, −1 for what is not examined. */
function slotOf(exam: Examination, instrument: number, quantity: Quantity): number {
  if (instrument < 0 || 2 * instrument >= exam.minutes.length) return -1
  if (quantity === 'temperature') return instrument
  return quantity === 'humidity' ? exam.minutes.length / 2 + instrument : -1
}

/** One reading, as the instrument gave it: an infrared value uncorrected, in event time. What comes late is not examined. */
export function examineReading(
  station: ExaminedStation,
  exam: Examination,
  instrument: number,
  quantity: Quantity,
  t: EpochMs,
  value: number,
): Examination {
  const slot = slotOf(exam, instrument, quantity)
  if (slot < 0) return exam
  if (!Number.isFinite(value) || sensorCodes.has(value)) return withoutValue(station, exam, slot, t)
  const open = exam.minutes[slot] as OpenMinute | null
  const index = Math.floor(t / exam.watch.minuteMs)
  if (open === null) return opened(exam, slot, minuteWith(index, t, value, null))
  if (t <= open.lastAt) return heardLate(exam, instrument)
  const hole = t - open.lastAt > holeMsOf((station.instruments[instrument] as { intervalMs: number }).intervalMs)
  if (index === open.index && !hole) return opened(exam, slot, added(open, t, value))
  return opened(closed(station, exam, slot, hole), slot, minuteWith(index, t, value, hole ? null : open))
}

function opened(exam: Examination, slot: number, minute: OpenMinute): Examination {
  const minutes = exam.minutes.slice()
  minutes[slot] = minute
  return { doubts: exam.doubts, lives: exam.lives, minutes, watch: exam.watch }
}

/** An instrument says that it cannot measure: nothing is connected, or it cannot tell. */
export function examineFault(station: ExaminedStation, exam: Examination, instrument: number, t: EpochMs): Examination {
  return slotOf(exam, instrument, 'temperature') < 0 ? exam : withoutValue(station, exam, instrument, t)
}

/** When time alone could change what is doubted, asked after a look at `lookedAt`; Infinity where only readings can. */
export function examinerDueAt(station: ExaminedStation, exam: Examination, lookedAt: EpochMs): EpochMs {
  const n = station.instruments.length
  let due = Number.POSITIVE_INFINITY
  station.instruments.forEach(({ intervalMs }, i) => {
    const { lastAt, at } = exam.watch.heard[i] as Heard
    if (lastAt === 0) return
    const isOpen = exam.minutes[i] !== null || exam.minutes[n + i] !== null
    const closes = isOpen ? at + Math.max(holeMsOf(intervalMs), exam.watch.minuteMs) + 1 : at + silentMs
    if (closes > lookedAt) due = Math.min(due, closes)
    if (at + silentMs > lookedAt) due = Math.min(due, at + silentMs)
  })
  return due
}

/** Time passed: what has been silent for too long has ended its minute, and one that is silent alone is looked at. */
export function examineTime(station: ExaminedStation, exam: Examination, now: EpochMs): Examination {
  let after = listened(station, exam, now)
  after.minutes.forEach((open, slot) => {
    const i = slot % station.instruments.length
    const { intervalMs } = station.instruments[i] as { intervalMs: number }
    const silentMs = now - (after.watch.heard[i] as Heard).at
    if (open === null || silentMs <= Math.max(holeMsOf(intervalMs), exam.watch.minuteMs)) return
    const before = closed(station, after, slot, true)
    after = { ...before, minutes: before.minutes.with(slot, null) }
  })
  return unilateralSilence(station, after, now)
}
