/** The record of a burnout as a table: each stretch of each hold, counted or refused, with reason and probe. */
import type { RunRecord } from './run-record.ts'

const time = (ms: number) => new Date(ms).toISOString()
/** A text that begins like a formula must not be run by a spreadsheet. */
const quoted = (text: string) => `"${(/^[=+\-@\t\r]/.test(text) ? `'${text}` : text).replaceAll('"', '""')}"`

export function recordCsv(record: RunRecord): string {
  const lines = ['segment,from,to,minutes,counted,reason,probe']
  for (const hold of record.holds ?? [])
    for (const { from, to, refused, probe } of hold.stretches)
      lines.push(
        [
          hold.segment + 1,
          time(from),
          time(to),
          ((to - from) / 60_000).toFixed(3),
          refused === null ? 'yes' : 'no',
          refused ?? '',
          probe === null ? '' : quoted(probe),
        ].join(','),
      )
  return `${lines.join('\r\n')}\r\n`
}
