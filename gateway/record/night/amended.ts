/** Whether the night is told otherwise now than it could be at dawn, because readings came late; and what that changed. */
import type { NightAmendment, NightBand } from '../../../shared/contract/index.ts'
import type { EpochMs } from '../../../shared/time.ts'
import { statisticsOf } from './line.ts'
import { type NightSeries, part } from './material.ts'

export interface AmendedLine {
  one: NightSeries
  band: NightBand | null
}

export function amendmentOf(
  lines: readonly AmendedLine[],
  from: EpochMs,
  dawn: EpochMs,
  now: EpochMs,
): NightAmendment | null {
  if (now < dawn) return null
  const all: NightAmendment = { readings: 0, firstAt: Infinity, lastAt: -Infinity, changes: [] }
  for (const { one, band } of lines) {
    const { columns, backlogMs, silenceMs } = one
    let late = 0
    columns.arrivedAt.forEach((at, i) => {
      const t = columns.t[i] as number
      if (t < from || t >= dawn || at <= dawn + backlogMs) return
      late++
      all.firstAt = Math.min(all.firstAt, at)
      all.lastAt = Math.max(all.lastAt, at)
    })
    if (late === 0) continue
    all.readings += late
    const known = part(columns, (i) => (columns.arrivedAt[i] as number) <= dawn + backlogMs)
    const [then, since] = [known, columns].map((c) => statisticsOf(c, band, silenceMs, from, dawn))
    if (!then || !since) continue
    all.changes.push({
      series: one.series,
      coverageFrom: then.coverage,
      coverageTo: since.coverage,
      excursionsFrom: then.excursions.length,
      excursionsTo: since.excursions.length,
    })
  }
  return all.readings > 0 ? all : null
}
