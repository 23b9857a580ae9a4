/** Replay: the same judge over the same journal. By arrival it gives what people saw; by measurement, what happened. */
import { badReason, type Entry, type EntryOf, type Finding, splitSeriesId } from '../contract/index.ts'
import type { EpochMs } from '../time.ts'
import { judge } from './judge.ts'
import type { House } from './state.ts'
import { nextDue } from './watch.ts'

export interface Replayed {
  house: House
  /** Every finding, as it last was, in the order in which they were announced. */
  findings: Finding[]
}

/** Folds entries as they came. */
export function byArrival(house: House, entries: Iterable<Entry>): Replayed {
  const findings = new Map<string, Finding>()
  let now = house
  for (const entry of entries) {
    const [next, changes] = judge(now, entry)
    now = next
    for (const finding of changes.findings) findings.set(finding.id, finding)
  }
  return { house: now, findings: [...findings.values()] }
}

const order = [
  'foundry',
  'start',
  'clock-step',
  'act',
  'presence',
  'fault',
  'reading',
  'conflict',
  'tick',
  'unreadable',
  'retired',
  'mailing',
  'mailed',
] as const

function happenedAt(entry: Entry): EpochMs {
  return entry.kind === 'reading' || entry.kind === 'fault' ? entry.measuredAt : entry.at
}

function compare(a: Entry, b: Entry): number {
  const byTime = happenedAt(a) - happenedAt(b)
  if (byTime !== 0) return byTime
  const byKind = order.indexOf(a.kind) - order.indexOf(b.kind)
  if (byKind !== 0) return byKind
  if (a.kind === 'reading' && b.kind === 'reading')
    return a.series < b.series ? -1 : a.series > b.series ? 1 : a.value - b.value
  if (a.kind === 'fault' && b.kind === 'fault')
    return a.instrument < b.instrument ? -1 : a.instrument > b.instrument ? 1 : 0
  return a.seq - b.seq
}

/** What is judged of two values for one instant: the lower of those that can be true, whichever came first, and called uncertain. */
function settled(entry: EntryOf<'reading'>, values: readonly number[]): EntryOf<'reading'> {
  const quantity = splitSeriesId(entry.series)?.quantity
  const possible = values.filter((v) => quantity === undefined || badReason(quantity, v) === null)
  const { reason, ...rest } = entry
  const kept = reason === 'brought-in' ? { ...rest, reason } : rest
  return possible.length > 0
    ? { ...kept, value: Math.min(...possible), quality: 'uncertain' }
    : { ...kept, value: Math.min(...values), quality: 'bad' }
}

function settleConflicts(entries: readonly Entry[]): Entry[] {
  const claims = new Map<string, number[]>()
  for (const e of entries) {
    if (e.kind !== 'conflict') continue
    const key = `${e.series}@${e.measuredAt}`
    claims.set(key, [...(claims.get(key) ?? []), e.kept, e.refused])
  }
  return entries.flatMap((e): Entry[] => {
    if (e.kind === 'conflict') return []
    const values = e.kind === 'reading' ? claims.get(`${e.series}@${e.measuredAt}`) : undefined
    return [e.kind === 'reading' && values ? settled(e, values) : e]
  })
}

/**
 * Folds entries by the time of measurement, as if each had arrived at once, with the ticks that the watch would have recorded.
 * The gateway's own absences and clock steps did not happen to the foundry: they are left out. Ends at `until`.
 */
export function byMeasurement(house: House, entries: readonly Entry[], until: EpochMs): Replayed {
  const happened = settleConflicts(entries)
    .filter((e) => e.kind !== 'tick' && e.kind !== 'start' && e.kind !== 'clock-step' && e.kind !== 'unreadable')
    .filter((e) => happenedAt(e) <= until)
    .sort(compare)
  const findings = new Map<string, Finding>()
  let now = house
  let seq = house.seq
  const fold = (entry: Entry) => {
    const [next, changes] = judge(now, entry)
    now = next
    for (const finding of changes.findings) findings.set(finding.id, finding)
  }
  const passTo = (t: EpochMs, inclusive: boolean) => {
    for (let due = nextDue(now); inclusive ? due <= t : due < t; due = nextDue(now))
      fold({ seq: ++seq, at: Math.max(due, now.at), kind: 'tick' })
  }
  for (const entry of happened) {
    const at = happenedAt(entry)
    passTo(at, false)
    fold({ ...entry, seq: ++seq, at })
  }
  passTo(until, true)
  return { house: now, findings: [...findings.values()] }
}
