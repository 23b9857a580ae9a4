/** Whether an instrument stands still: its newest minute, as it was sent and as it is meant; or why it cannot be held against anything now. */
import {
  backlogSlackMs,
  type Instrument,
  measuredAheadMsMax,
  qualities,
  seriesId,
} from '../../shared/contract/index.ts'
import { interpretationOf } from '../../shared/judge/index.ts'
import { interpreted } from '../../shared/physics/interpretation.ts'
import { type DurationMs, type EpochMs, minuteMs, secondMs } from '../../shared/time.ts'
import { noAnswerBecause, type NotStill } from '../../shared/words/index.ts'
import type { Store } from '../store/store.ts'

/** Ours: three readings can contradict each other, two cannot. */
export const readingsMin = 3
/** Ours: a probe that still warms up or cools down moves by more in a minute. */
const spreadMaxC = 0.5
const bad = qualities.indexOf('bad')

export interface Still {
  readings: number
  from: EpochMs
  to: EpochMs
  /** Mean as it was sent, and as it is meant, °C. */
  rawC: number
  meantC: number
  spreadC: number
}

/** One usable reading. */
export interface Sent {
  t: EpochMs
  rawC: number
}

const temperatureKinds: ReadonlySet<Instrument['kind']> = new Set(['thermocouple', 'infrared', 'climate'])

export function measuresTemperature({ kind }: Instrument): boolean {
  return temperatureKinds.has(kind)
}

/** A minute; of a slow instrument so long that three of its readings fit. */
export function stretchMs(...instruments: readonly Instrument[]): DurationMs {
  return Math.max(minuteMs, ...instruments.map(({ intervalS }) => readingsMin * intervalS * secondMs))
}

/** Its temperatures that are not bad, from ≤ t < to. */
export async function sentBetween(store: Store, { id }: Instrument, from: EpochMs, to: EpochMs): Promise<Sent[]> {
  const sent: Sent[] = []
  for await (const { t, v, quality } of store.scan(seriesId(id, 'temperature'), from, to))
    for (let i = 0; i < t.length; i++) if (quality[i] !== bad) sent.push({ t: t[i] as number, rawC: v[i] as number })
  return sent
}

/** The newest stretch of it, asked for at `now`. */
export async function stillness(
  store: Store,
  instrument: Instrument,
  now: EpochMs,
  overMs: DurationMs,
): Promise<Still | NotStill> {
  if (!measuresTemperature(instrument)) return { why: 'no-temperature' }
  const ageMaxMs = 2 * instrument.intervalS * secondMs + backlogSlackMs
  const sent = await sentBetween(store, instrument, now - ageMaxMs - overMs, now + measuredAheadMsMax)
  const newest = sent.at(-1)
  if (newest === undefined || newest.t < now - ageMaxMs) return await silentSince(store, instrument, now)
  return stillOf(
    instrument,
    sent.filter(({ t }) => t > newest.t - overMs),
    overMs,
  )
}

async function silentSince(store: Store, { id }: Instrument, now: EpochMs): Promise<NotStill> {
  const series = seriesId(id, 'temperature')
  const last = (await store.summaries()).find((summary) => summary.series === series)?.newest.measuredAt
  return { why: 'silent', quietMs: last === undefined ? null : Math.max(0, now - last) }
}

/** What these readings come to. */
export function stillOf(instrument: Instrument, sent: readonly Sent[], overMs: DurationMs): Still | NotStill {
  const [first, last] = [sent[0], sent.at(-1)]
  if (first === undefined || last === undefined || sent.length < readingsMin)
    return { why: 'too-few', readings: sent.length, needed: readingsMin, overMs }
  const interpretation = interpretationOf(instrument, 'temperature')
  const meant: number[] = []
  for (const { t, rawC } of sent) {
    const value = interpretation ? interpreted(interpretation, rawC, t) : rawC
    if (typeof value !== 'number') return { why: 'no-answer', because: noAnswerBecause(value) }
    meant.push(value)
  }
  const spreadC = Math.max(...meant) - Math.min(...meant)
  if (spreadC > spreadMaxC) return { why: 'moving', spreadC, spreadMaxC, overMs }
  const mean = (values: readonly number[]) => values.reduce((sum, v) => sum + v, 0) / values.length
  const rawC = mean(sent.map((one) => one.rawC))
  return { readings: sent.length, from: first.t, to: last.t, rawC, meantC: mean(meant), spreadC }
}
