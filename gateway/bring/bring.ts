/** Reads a whole table by its plan, as a dry run or for keeps: a stream, some readings at a time, whatever its size. */
import { createHash } from 'node:crypto'
import {
  type BringPlan,
  type BringProgress,
  type BringResult,
  bringBatchMax,
  bringBytesMax,
  Fault,
  type NewEntry,
  type Quantity,
  splitSeriesId,
} from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'
import { Comparison, type Scan } from './compare.ts'
import { decoded } from './encoding.ts'
import { Reader, runsForward } from './reader.ts'
import { rowsOf } from './rows.ts'
import { type Carried, type Outcome, Tally } from './tally.ts'

export interface Job {
  plan: BringPlan
  file: string
  bytes: AsyncIterable<Uint8Array>
  now: EpochMs
  signal?: AbortSignal
  progress?: (progress: BringProgress) => void
}

export interface Keeping {
  /** Stores a batch; says what became of each, in order. */
  record(entries: NewEntry[]): Promise<readonly { is: string; entry?: { kind: string; kept?: number } }[]>
  /** Whether there is room for this series; null where there is none. */
  admit(instrument: string, quantity: Quantity): string | null
}

/** Readings compared at once in a dry run: each comparison reads the stored ones of its stretch of time. */
const comparedAtOnce = 16_384

/** The bytes on their way, counted and summed up. */
class Seen {
  readonly #hash = createHash('sha256')
  bytes = 0

  async *through(source: AsyncIterable<Uint8Array>): AsyncIterable<Uint8Array> {
    for await (const piece of source) {
      this.bytes += piece.byteLength
      if (this.bytes > bringBytesMax)
        throw new Fault(
          'too-large',
          `A table may have at most ${bringBytesMax / 1024 ** 2} MB; cut it in two, the overlap is stored once.`,
        )
      this.#hash.update(piece)
      yield piece
    }
  }

  sha256(): string {
    return this.#hash.digest('hex')
  }
}

type Settle = (batch: Carried[]) => Promise<readonly Outcome[]>

/** Hands the readings over in batches, and counts. Resolves with why it ended before the table did. */
async function through(job: Job, tally: Tally, seen: Seen, batchMax: number, settle: Settle): Promise<string | null> {
  let reader: Reader | null = null
  let waiting: Carried[] = []
  const hand = async () => {
    const batch = waiting
    waiting = []
    const outcomes = await settle(batch)
    batch.forEach((carried, i) => tally.settle(carried, outcomes[i] as Outcome))
  }
  try {
    for await (const rows of rowsOf(decoded(seen.through(job.bytes), job.plan.encoding), job.plan)) {
      reader ??= new Reader(job.plan, job.now, runsForward(job.plan, rows))
      for (const row of rows) {
        for (const carried of tally.take(reader.read(row))) {
          waiting.push(carried)
          if (waiting.length >= batchMax) await hand()
        }
      }
      if (job.signal?.aborted) return given(job.signal)
      job.progress?.({
        is: 'progress',
        bytes: seen.bytes,
        lines: tally.lines,
        readings: tally.readings + waiting.length,
      })
    }
    if (waiting.length > 0) await hand()
    return null
  } catch (error) {
    if (error instanceof Fault) return error.message
    // The line was cut: what was kept stays, and the same table again adds the rest.
    if (job.signal?.aborted || isCut(error)) return given(job.signal)
    throw error
  }
}

const given = (signal: AbortSignal | undefined) =>
  typeof signal?.reason === 'string' ? signal.reason : 'It was called off before the end of the file.'

function isCut(error: unknown): boolean {
  const code = (error as NodeJS.ErrnoException | null)?.code ?? ''
  return ['ECONNRESET', 'ABORT_ERR', 'ERR_STREAM_PREMATURE_CLOSE', 'EPIPE'].includes(code)
}

function resultOf(job: Job, tally: Tally, seen: Seen, stored: boolean, stopped: string | null): BringResult {
  return {
    is: 'result',
    stored,
    stopped,
    file: job.file,
    sha256: seen.sha256(),
    bytes: seen.bytes,
    ...tally.sums(),
    remarks: [],
  }
}

/** Says what would come of a table. Nothing is stored. */
export async function dryRun(job: Job, scan: Scan): Promise<BringResult> {
  const [tally, seen, comparison] = [new Tally(), new Seen(), new Comparison(scan)]
  const stopped = await through(job, tally, seen, comparedAtOnce, (batch) => comparison.judge(batch))
  for (const [series, met] of comparison.met) tally.of(series).before = met
  const result = resultOf(job, tally, seen, false, stopped)
  result.remarks = remarksOn(result, job.plan)
  if (!comparison.exact)
    result.remarks.push(
      'The table runs to and fro in time and is too long to remember: some lines that repeat earlier ones may be counted as new here. Keeping it stores each once all the same.',
    )
  return result
}

function entryOf({ at, value }: Carried, arrivedAt: EpochMs): NewEntry {
  return {
    at: arrivedAt,
    kind: 'reading',
    series: value.series,
    measuredAt: at,
    value: value.value,
    quality: value.quality,
    reason: 'brought-in',
  }
}

/** Stores what a table holds. `now` is asked for each batch: it is when the readings arrived. */
export async function bringIn(job: Job, keeping: Keeping, now: () => EpochMs): Promise<BringResult> {
  if (job.plan.ask.length > 0) throw new Fault('not-valid', questionSentence(job.plan))
  const [tally, seen] = [new Tally(), new Seen()]
  const admitted = new Set<string>()
  const admit = (series: string) => {
    if (admitted.has(series)) return
    const id = splitSeriesId(series)
    if (!id || keeping.admit(id.instrument, id.quantity) === null)
      throw new Fault(
        'not-valid',
        'This gateway already knows as many series as it can remember; this table holds a new one.',
      )
    admitted.add(series)
  }
  const stopped = await through(job, tally, seen, bringBatchMax, async (batch) => {
    for (const { value } of batch) admit(value.series)
    const fates = await keeping.record(batch.map((carried) => entryOf(carried, now())))
    return fates.map((fate): Outcome => {
      if (fate.is === 'conflict') return { is: 'conflict', kept: fate.entry?.kept ?? Number.NaN }
      return fate.is === 'duplicate' ? { is: 'duplicate' } : { is: 'stored' }
    })
  })
  const result = resultOf(job, tally, seen, true, stopped)
  result.remarks = remarksOn(result, job.plan)
  return result
}

/** The act in the logbook: who brought in which file, and what came of it. */
export function importAct(result: BringResult, by: string, at: EpochMs): NewEntry {
  const entry: Extract<NewEntry, { kind: 'act'; act: 'import' }> = {
    at,
    kind: 'act',
    by,
    act: 'import',
    file: result.file,
    sha256: result.sha256,
    unreadable: result.unreadable.count,
    series: result.series.map(({ series, readings, duplicates, conflicts, from, to }) => ({
      series,
      readings,
      duplicates,
      conflicts,
      from,
      to,
    })),
  }
  if (result.stopped !== null) entry.stopped = result.stopped
  return entry
}

const questionWords: Record<BringPlan['ask'][number], string> = {
  'date-order': 'whether day or month stands first',
  decimal: 'which mark parts the decimals',
  unit: 'in which unit the values are',
  time: 'where the time stands',
  values: 'which column holds values',
}

export function questionSentence(plan: BringPlan): string {
  return `Before anything is kept somebody must say ${plan.ask.map((question) => questionWords[question]).join(', and ')}.`
}

function remarksOn(result: BringResult, plan: BringPlan): string[] {
  const remarks: string[] = []
  const { missing, twice } = result.clock
  if (missing.count > 0)
    remarks.push(
      `${missing.count} lines stand at a local time that never was in ${plan.time.zone}: the clock went forward over it. They are left out. A logger that never moves its clock needs a fixed offset instead of a zone.`,
    )
  if (twice.assumed > 0)
    remarks.push(
      `${twice.assumed} lines stand in an hour that was twice, and their order does not tell which is meant; they are placed as the lines run.`,
    )
  for (const { series, bad, readings } of result.series)
    if (bad > 0)
      remarks.push(`${bad} of ${readings} readings of ${series} are kept as bad: a sensor's code, or what cannot be.`)
  if (result.readings === 0 && result.stopped === null)
    remarks.push('Not one reading could be read; look at the plan again.')
  return remarks
}
