/** The record of a run: what happened, by measurement, folded from stored readings and acts by the same judge that watched it live. */
import type { BurnoutView, Entry, EntryOf, Finding, Foundry, HoldLedger, Run } from '../../shared/contract/index.ts'
import { byMeasurement, emptyHouse, rulesOf } from '../../shared/judge/index.ts'
import { interpreted } from '../../shared/physics/interpretation.ts'
import type { EpochMs } from '../../shared/time.ts'

export interface RunRecord {
  run: Run
  /** Covered span. */
  from: EpochMs
  to: EpochMs
  /** Findings of its station while it ran, as they happened. */
  findings: Finding[]
  /** Of a burnout: every hold, with each stretch of it counted or refused. */
  holds?: HoldLedger[]
  /** For each series of its station: how much of the span was really seen. */
  coverage: { series: string; readings: number; seenMs: number; holes: { from: EpochMs; to: EpochMs }[] }[]
}

export interface RunMaterial {
  foundry: Foundry
  revision: number
  /** The run's own, and every pot that it takes from. */
  stations: readonly string[]
  /** Its acts, the start first. */
  acts: readonly EntryOf<'act'>[]
  /** Readings of its station, and whatever its instruments said of themselves. */
  entries: readonly Entry[]
  from: EpochMs
  to: EpochMs
}

/** Only the run's own stations: what other places did is none of this record's business, nor whether somebody had checked its instruments. */
function alone(foundry: Foundry, stations: readonly string[]): Foundry {
  return {
    ...foundry,
    stations: foundry.stations.filter((s) => stations.includes(s.id)),
    instruments: foundry.instruments
      .filter((i) => stations.includes(i.station))
      .map(({ checkEveryDays: _, ...instrument }) => instrument),
  }
}

/** The start as it would have been said at the time, so that a run declared afterwards and a live one are judged alike. */
function atItsTime(act: EntryOf<'act'>, from: EpochMs): EntryOf<'act'> {
  if (act.act !== 'run-start') return act
  const { endedAt: _ended, ...declaration } = act.declaration
  return { ...act, at: from, declaration: { ...declaration, startedAt: from } }
}

export function runRecord(material: RunMaterial, silenceMsOf: (series: string) => number): RunRecord | null {
  const { foundry, revision, stations, acts, entries, from, to } = material
  const begin: Entry = { kind: 'foundry', seq: 0, at: from, revision, foundry: alone(foundry, stations) }
  const open = acts.filter((a) => a.act !== 'run-close').map((a) => atItsTime(a, from))
  const { house, findings } = byMeasurement(emptyHouse(), [begin, ...open, ...entries], to)
  const id = acts[0] && 'run' in acts[0] ? acts[0].run : ''
  const found = house.stations.flatMap((s) => s.runs).find((r) => r.run.id === id)
  if (!found) return null
  const { run, burnout } = found
  const holds = burnout && { holds: burnout.walk.ledgers.map((l) => ({ ...l, stretches: [...l.stretches] })) }
  return {
    run: withoutForecast(run),
    from,
    to,
    findings,
    ...holds,
    coverage: coverage(entries, from, to, isSeenIn(foundry, revision), silenceMsOf),
  }
}

/** A record tells what happened. What was expected on the way hangs on what the kiln had taught until then, and is not part of it. */
function withoutForecast(run: Run): Run {
  const { progress } = run
  if (progress.kind !== 'burnout') return run
  const told: BurnoutView = {
    ...progress,
    leavesEarly: null,
    ready: progress.ready.is === 'expected' ? { is: 'cannot-tell', why: 'held' } : progress.ready,
  }
  return { ...run, progress: told }
}

/** Whether a reading is seen: neither bad nor without a meaning. */
function isSeenIn(foundry: Foundry, revision: number): (entry: EntryOf<'reading'>) => boolean {
  const { seriesAt, stations } = rulesOf(foundry, revision)
  return (entry) => {
    if (entry.quality === 'bad') return false
    const at = seriesAt.get(entry.series)
    const interpretation = at && stations[at.station]?.series[at.series]?.interpretation
    return !interpretation || typeof interpreted(interpretation, entry.value, entry.measuredAt) === 'number'
  }
}

function coverage(
  entries: readonly Entry[],
  from: EpochMs,
  to: EpochMs,
  isSeen: (entry: EntryOf<'reading'>) => boolean,
  silenceMsOf: (series: string) => number,
): RunRecord['coverage'] {
  const times = new Map<string, EpochMs[]>()
  for (const e of entries) {
    if (e.kind !== 'reading') continue
    const mine = times.get(e.series) ?? []
    if (mine.length === 0) times.set(e.series, mine)
    if (isSeen(e)) mine.push(e.measuredAt)
  }
  return [...times].map(([series, all]) => {
    const t = all.sort((a, b) => a - b)
    const silenceMs = silenceMsOf(series)
    const holes: { from: EpochMs; to: EpochMs }[] = []
    let last = from
    for (const next of [...t, to]) {
      if (next - last > silenceMs) holes.push({ from: last, to: next })
      last = next
    }
    return { series, readings: t.length, seenMs: to - from - holes.reduce((sum, h) => sum + h.to - h.from, 0), holes }
  })
}
