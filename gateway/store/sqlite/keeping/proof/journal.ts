/** Proves what is no reading: every entry of the journal is whole and in its place, and so is what was derived from it. */
import type { Database } from 'better-sqlite3'
import type { EntryOf } from '../../../../../shared/contract/index.ts'
import { type NewNote, onceKey } from '../../../sameness.ts'
import type { Faults } from './faults.ts'
import { JournalFingerprint } from './fingerprint.ts'
import type { SeqMap } from './seq-map.ts'

export interface JournalProof {
  entries: number
  fingerprint: string
}

type NoteRow = [seq: number, kind: string, body: string, once: string | null]

/** `retired` hears of every time that readings were let go. */
export function proveJournal(
  db: Database,
  faults: Faults,
  seqs: SeqMap,
  retired: (before: number) => void,
): JournalProof {
  const fingerprint = new JournalFingerprint()
  const notes = db.prepare('SELECT seq, kind, body, once FROM note ORDER BY seq').raw()
  let entries = 0
  for (const [seq, kind, body, once] of notes.iterate() as Iterable<NoteRow>) {
    const place = `Entry ${seq} of the journal (${kind})`
    entries++
    if (!seqs.add(seq)) faults.add(`${place} has a number that another entry has too.`)
    fingerprint.add(seq, body)
    const note = faults.within(place, () => JSON.parse(body) as NewNote)
    if (note === null) continue
    if (note.kind !== kind) faults.add(`${place} says in its text that it is of kind ${String(note.kind)}.`)
    else if (onceKey(note) !== once) faults.add(`${place} is not found by what makes it the only one of its kind.`)
    if (note.kind === 'retired') retired((note as EntryOf<'retired'>).before)
  }
  for (const row of db.prepare('SELECT kind, entries, newest_seq FROM pruned ORDER BY kind').raw().iterate())
    fingerprint.addPruned(...(row as [string, number, number]))
  proveDerived(db, faults)
  return { entries, fingerprint: fingerprint.finish() }
}

/** Derived, and folded again where it is lost: but while it is there it must be legible. */
function proveDerived(db: Database, faults: Faults): void {
  for (const [id, body] of db.prepare('SELECT id, body FROM finding').raw().iterate() as Iterable<[string, string]>)
    faults.within(`The finding ${id}`, () => JSON.parse(body) as unknown)
  for (const [seq, state] of db.prepare('SELECT seq, state FROM snapshot').raw().iterate() as Iterable<
    [number, string]
  >)
    faults.within(`The snapshot at ${seq}`, () => JSON.parse(state) as unknown)
}
