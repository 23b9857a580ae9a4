/** Doubts: lets the examiner of a station see every entry, and announces what it comes to doubt. */
import type { Answer, Doubt, DoubtKind, EntryOf, Quantity } from '../contract/index.ts'
import { type DurationMs, type EpochMs, secondMs } from '../time.ts'
import { clear, type Draft, raise, type Scene } from './draft.ts'
import { type Examination, examineFault, examineReading, examinerDueAt, examineTime } from './examine/index.ts'
import type { StationRules } from './rules.ts'
import type { Announced, StationState } from './state.ts'

/** Silence is looked at so often, by the entries that come. */
const lookEveryMs = 60 * secondMs

/** What happens every day and passes: for reading, not for acting. */
const passing: ReadonlySet<DoubtKind> = new Set<DoubtKind>([
  'blind',
  'sees-skin',
  'not-stirred',
  'in-solid',
  'ordering',
])

/** Those who do not see what somebody relies on; the others read a little wrong, and wait until tomorrow. */
const unseeing: ReadonlySet<DoubtKind> = new Set<DoubtKind>(['out-of-wax', 'open-circuit', 'reversed', 'sees-metal'])

function answerTo(kind: DoubtKind): Answer | undefined {
  if (passing.has(kind)) return undefined
  return unseeing.has(kind)
    ? {
        tier: 'this-shift',
        consequence: 'What it says is not how hot it is; whatever relies on it is not watched.',
        action: 'Look at the instrument where it sits.',
        respondMinutes: 120,
      }
    : {
        tier: 'tomorrow',
        consequence: 'What relies on it drifts from what was meant.',
        action: 'Look at the instrument, and check it against a reference before it is trusted.',
        respondMinutes: 1_440,
      }
}

const keyOf = ({ kind, instrument }: Doubt) => `${instrument}~${kind}`

/** Announces doubts that are new, and ends those that are gone. */
function announce(draft: Draft, scene: Scene, station: StationState, exam: Examination): readonly Announced[] {
  const standing = new Set(exam.doubts.map(keyOf))
  const kept = station.doubts.filter(({ key, finding }) => {
    if (standing.has(key)) return true
    clear(draft, scene, finding, scene.at)
    return false
  })
  const known = new Set(kept.map(({ key }) => key))
  const added = exam.doubts
    .filter((doubt) => !known.has(keyOf(doubt)))
    .map((doubt): Announced => {
      const { instrument, since, kind } = doubt
      const answer = answerTo(kind)
      const what = { kind: 'instrument-doubt', subject: keyOf(doubt), instrument, since, facts: { doubt } } as const
      return { key: keyOf(doubt), finding: raise(draft, scene, answer ? { ...what, answer } : what) }
    })
  return [...kept, ...added]
}

function withExamination(draft: Draft, scene: Scene, station: StationState, exam: Examination): StationState {
  if (exam === station.exam) return station
  const doubts = exam.doubts === station.exam.doubts ? station.doubts : announce(draft, scene, station, exam)
  return {
    instruments: station.instruments,
    series: station.series,
    runs: station.runs,
    exam,
    examinedAt: station.examinedAt,
    doubts,
    pot: station.pot,
    kiln: station.kiln,
    find: station.find,
  }
}

/** A reading that came from the instrument itself, raw, in event time. */
export function examinedReading(
  draft: Draft,
  scene: Scene,
  before: StationState,
  instrument: number,
  quantity: Quantity,
  entry: EntryOf<'reading'>,
): StationState {
  if (entry.reason === 'brought-in') return before
  const station = lookedAt(draft, scene, before)
  const { examined } = scene.rules
  const exam = examineReading(examined, station.exam, instrument, quantity, entry.measuredAt, entry.value)
  return withExamination(draft, scene, station, exam)
}

export function examinedFault(
  draft: Draft,
  scene: Scene,
  station: StationState,
  instrument: number,
  entry: EntryOf<'fault'>,
): StationState {
  const exam = examineFault(scene.rules.examined, station.exam, instrument, entry.measuredAt)
  return withExamination(draft, scene, station, exam)
}

/** Time passed: who is silent alone? Asked once a minute, whatever it is that comes. */
export function lookedAt(draft: Draft, scene: Scene, station: StationState): StationState {
  if (scene.at - station.examinedAt < lookEveryMs && scene.at >= station.examinedAt) return station
  const exam = examineTime(scene.rules.examined, station.exam, scene.at)
  return withExamination(draft, scene, { ...station, examinedAt: scene.at }, exam)
}

/** The gateway was away, or its clock stepped: nobody was silent for that. */
export function heardAfter(exam: Examination, byMs: DurationMs): Examination {
  const heard = exam.watch.heard.map((one) => (one.lastAt === 0 ? one : { ...one, at: one.at + byMs }))
  return { ...exam, watch: { ...exam.watch, heard } }
}

/** When time alone could next raise a doubt or end one; Infinity where it cannot. */
export function examinationDueAt({ exam, examinedAt }: StationState, { examined }: StationRules): EpochMs {
  const due = examinerDueAt(examined, exam, examinedAt)
  return due === Number.POSITIVE_INFINITY ? due : Math.max(due, examinedAt + lookEveryMs)
}

/** The examination goes on where its instruments are as they were; else it begins anew, and what it doubted is over. */
export function isSameStation(before: StationRules, now: StationRules): boolean {
  return JSON.stringify(before.examined) === JSON.stringify(now.examined)
}
