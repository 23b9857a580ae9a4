/** The review of a night as a table (RFC 4180): one line for each happening, in order. */
import type { NightReview } from '../../../shared/contract/index.ts'
import type { EpochMs } from '../../../shared/time.ts'

const head = ['from', 'to', 'station', 'what', 'subject', 'side', 'peak', 'beyond', 'cause', 'seen_by', 'seen_at']

type Cell = string | number | null
type Row = { at: EpochMs; cells: Cell[] }

const iso = (t: EpochMs | null) => (t === null ? null : new Date(t).toISOString())

/** A name that a sheet would take for a formula is written with a space before it. */
function cell(value: Cell): string {
  if (value === null) return ''
  const text = typeof value === 'number' ? String(Math.round(value * 1e6) / 1e6) : value
  const safe = typeof value === 'string' && /^[=+\-@\t]/.test(text) ? ` ${text}` : text
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe
}

export function nightCsv(review: NightReview): string {
  const rows: Row[] = []
  const add = (at: EpochMs, ...cells: Cell[]) => rows.push({ at, cells })
  const names = (seen: readonly { by: string; at: EpochMs }[]): Cell[] => [
    seen.map((s) => s.by).join('; ') || null,
    seen.map((s) => iso(s.at)).join('; ') || null,
  ]
  for (const { station, lines, causes } of review.rooms) {
    for (const line of lines) {
      for (const e of line.excursions) {
        const cause = e.cause === null ? 'not-known' : (causes[e.cause]?.kind ?? null)
        const who = names(e.seenBy)
        add(e.from, iso(e.from), iso(e.to), station, 'excursion', line.series, e.side, e.peak, e.beyond, cause, ...who)
      }
      const hole = (what: string, h: { from: EpochMs; to: EpochMs }) =>
        add(h.from, iso(h.from), iso(h.to), station, what, line.series, null, null, null, null, null, null)
      for (const h of line.missing) hole('missing', h)
      for (const h of line.backfilled) hole('backfilled', h)
    }
    for (const c of causes)
      add(c.from, iso(c.from), iso(c.to), station, 'cause', null, null, null, null, c.kind, null, null)
  }
  for (const a of review.alarms)
    add(
      a.since,
      iso(a.since),
      iso(a.until),
      a.station,
      'alarm',
      a.subject,
      null,
      null,
      null,
      a.kind,
      ...names(a.seenBy),
    )
  rows.sort((a, b) => a.at - b.at)
  return [head, ...rows.map((r) => r.cells)].map((cells) => `${cells.map(cell).join(',')}\r\n`).join('')
}
