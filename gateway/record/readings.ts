/** Stored readings as lines for people and scripts: CSV (RFC 4180) or JSON lines. */
import { qualities, type ReadingLine, type SeriesId, splitSeriesId, unitOf } from '../../shared/contract/index.ts'
import type { DurationMs } from '../../shared/time.ts'

export const lineForms = ['csv', 'jsonl'] as const
export type LineForm = (typeof lineForms)[number]

export const lineTypes: Record<LineForm, string> = {
  csv: 'text/csv; charset=utf-8; header=present',
  jsonl: 'application/jsonl; charset=utf-8',
}

/** Readings in columns, as a store gives them. */
export interface ReadingPiece {
  t: ArrayLike<number>
  v: ArrayLike<number>
  quality: ArrayLike<number>
  arrivedAt: ArrayLike<number>
  seq: ArrayLike<number>
}

/** A series that arrives later than this is called late; of one nobody has claimed, `lateMsDefault`. */
export interface LineSeries {
  series: SeriesId
  lateMs: DurationMs
}
export const lateMsDefault = 25_000

const csvColumns = 'seq,measured_at,arrived_at,value,unit,quality,late'

/** The head, where the form has one. `named`: every line says of which series it is. */
export function headOfLines(form: LineForm, named: boolean): string {
  if (form === 'jsonl') return ''
  return `${named ? 'series,' : ''}${csvColumns}\r\n`
}

/** RFC 4180 asks for quotes only where a field holds a comma, a quote or a line break; none of ours ever does. */
export function readingLines(piece: ReadingPiece, of: LineSeries, form: LineForm, named: boolean): string {
  const id = splitSeriesId(of.series)
  const unit = id ? unitOf[id.quantity] : ''
  let text = ''
  for (let i = 0; i < piece.t.length; i++) {
    const [t, arrived] = [piece.t[i] as number, piece.arrivedAt[i] as number]
    const line: ReadingLine = {
      seq: piece.seq[i] as number,
      measuredAt: new Date(t).toISOString(),
      arrivedAt: new Date(arrived).toISOString(),
      value: piece.v[i] as number,
      unit,
      quality: qualities[piece.quality[i] as number] ?? 'bad',
      late: arrived - t > of.lateMs,
    }
    text += form === 'csv' ? csvLine(line, of.series, named) : jsonLine(line, of.series, named)
  }
  return text
}

function csvLine(line: ReadingLine, series: SeriesId, named: boolean): string {
  const { seq, measuredAt, arrivedAt, value, unit, quality, late } = line
  return `${named ? `${series},` : ''}${seq},${measuredAt},${arrivedAt},${value},${unit},${quality},${late}\r\n`
}

function jsonLine(line: ReadingLine, series: SeriesId, named: boolean): string {
  return `${JSON.stringify(named ? { series, ...line } : line)}\n`
}
