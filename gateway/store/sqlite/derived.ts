/** What was derived and is kept only so that it need not be folded again: findings and the snapshot. */
import type { Database } from 'better-sqlite3'
import type { Finding } from '../../../shared/contract/index.ts'
import type { Kept, Snapshot, Store } from '../store.ts'

export class Derived {
  readonly #statements
  readonly #keep

  constructor(db: Database) {
    this.#statements = statements(db)
    this.#keep = db.transaction((kept: Kept) => this.#write(kept)).immediate
  }

  keep(kept: Kept): void {
    this.#keep(kept)
  }

  #write(kept: Kept): void {
    const { finding, snapshot } = this.#statements
    for (const f of kept.findings ?? [])
      finding.run(f.id, f.station, f.since, f.raisedSeq, f.clearedAt ?? null, JSON.stringify(f))
    if (kept.snapshot !== undefined) snapshot.run(kept.snapshot.seq, kept.snapshot.state, kept.snapshot.shape)
  }

  findings(filter: Parameters<Store['findings']>[0]): Finding[] {
    const { ofAll, ofStation } = this.#statements
    const from = filter.from ?? Number.NEGATIVE_INFINITY
    const to = filter.to ?? Number.POSITIVE_INFINITY
    const bodies =
      filter.station === undefined
        ? ofAll.all(to, from, filter.limit)
        : ofStation.all(filter.station, to, from, filter.limit)
    return bodies.map((body) => JSON.parse(body) as Finding)
  }

  snapshot(): Snapshot | null {
    return this.#statements.newestSnapshot.get() ?? null
  }
}

const stood = '(cleared_at IS NULL OR cleared_at >= ?) ORDER BY since DESC, raised_seq DESC, id DESC LIMIT ?'

function statements(db: Database) {
  return {
    finding: db.prepare<[string, string, number, number, number | null, string]>(
      `INSERT INTO finding (id, station, since, raised_seq, cleared_at, body) VALUES (?, ?, ?, ?, ?, ?)
       ON CONFLICT (id) DO UPDATE SET station = excluded.station, since = excluded.since, raised_seq = excluded.raised_seq,
         cleared_at = excluded.cleared_at, body = excluded.body`,
    ),
    snapshot: db.prepare<[number, string, number]>(
      'INSERT OR REPLACE INTO snapshot (id, seq, state, shape) VALUES (1, ?, ?, ?)',
    ),
    newestSnapshot: db.prepare<[], Snapshot>('SELECT seq, state, shape FROM snapshot'),
    ofAll: db
      .prepare<[number, number, number], string>(`SELECT body FROM finding WHERE since <= ? AND ${stood}`)
      .pluck(),
    ofStation: db
      .prepare<[string, number, number, number], string>(
        `SELECT body FROM finding WHERE station = ? AND since <= ? AND ${stood}`,
      )
      .pluck(),
  }
}
