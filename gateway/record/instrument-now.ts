/** An instrument as it stands now: what it sent last and what that means, how sure it is, and when it was and will be checked. */
import {
  type Doubt,
  type Instrument,
  type InstrumentNow,
  type QualityReason,
  type Quality,
  quantities,
  type SeriesId,
  type SeriesNow,
  splitSeriesId,
  unitOf,
} from '../../shared/contract/index.ts'
import { interpretationOf, lastCheckAt, surenessOf } from '../../shared/judge/index.ts'
import { interpreted } from '../../shared/physics/interpretation.ts'
import type { EpochMs } from '../../shared/time.ts'
import { badSays, noAnswerSays } from '../../shared/words/index.ts'

/** A series as a store sums it up. */
export interface SeriesStored {
  series: SeriesId
  first: EpochMs
  newest: { measuredAt: EpochMs; value: number; quality: Quality; reason?: QualityReason }
}

export interface InstrumentMaterial {
  instrument: Instrument
  /** Its series, in any order. */
  stored: readonly SeriesStored[]
  /** When it was last checked by an act. */
  checkedAt: EpochMs | null
  /** As the judge has it; null where no check is asked for. */
  dueAt: EpochMs | null
  doubts: readonly Doubt[]
}

function seriesNow(instrument: Instrument, { series, newest }: SeriesStored): SeriesNow[] {
  const quantity = splitSeriesId(series)?.quantity
  if (quantity === undefined) return []
  const { value, measuredAt, quality, reason } = newest
  const now = { series, quantity, unit: unitOf[quantity], value, measuredAt, quality }
  if (quality === 'bad') return [{ ...now, trueValue: null, noAnswer: badSays(reason) }]
  const interpretation = interpretationOf(instrument, quantity)
  const meant = interpretation === null ? value : interpreted(interpretation, value, measuredAt)
  return [
    typeof meant === 'number'
      ? { ...now, trueValue: meant }
      : { ...now, trueValue: null, noAnswer: noAnswerSays(meant), quality: 'bad' },
  ]
}

export function instrumentNow({ instrument, stored, checkedAt, dueAt, doubts }: InstrumentMaterial): InstrumentNow {
  const series = stored
    .flatMap((one) => seriesNow(instrument, one))
    .sort((a, b) => quantities.indexOf(a.quantity) - quantities.indexOf(b.quantity))
  const usable = series.find((s) => s.quantity === 'temperature' && s.quality !== 'bad')
  const junction = series.find((s) => s.quantity === 'junction' && s.quality !== 'bad')
  const newest = usable
    ? { rawC: usable.value, measuredAt: usable.measuredAt, junctionC: junction?.value ?? null }
    : null
  return {
    ...instrument,
    series,
    sureness: surenessOf(instrument, newest),
    since: stored.reduce<EpochMs | null>((first, s) => Math.min(first ?? s.first, s.first), null),
    checkedAt: lastCheckAt(instrument, checkedAt),
    dueAt,
    doubts: [...doubts],
  }
}
