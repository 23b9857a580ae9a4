/** Names of series and the small numbers that stand for them on disk. */
import type { Database } from 'better-sqlite3'
import type { SeriesId } from '../../../shared/contract/index.ts'

export class SeriesNames {
  readonly #ids = new Map<SeriesId, number>()
  readonly #names = new Map<number, SeriesId>()
  readonly #insert
  #added: SeriesId[] = []

  constructor(db: Database) {
    this.#insert = db.prepare<[string]>('INSERT INTO series (name) VALUES (?)')
    for (const [id, name] of db.prepare('SELECT id, name FROM series').raw().all() as [number, string][])
      this.#know(id, name)
  }

  get count(): number {
    return this.#names.size
  }

  /** The next number that stands for a series; null after the last. They have no gaps. */
  idAfter(id: number): number | null {
    return this.#names.has(id + 1) ? id + 1 : null
  }

  idOf(name: SeriesId): number | undefined {
    return this.#ids.get(name)
  }

  nameOf(id: number): SeriesId {
    const name = this.#names.get(id)
    if (name === undefined) throw new Error(`The database holds readings of a series ${id} that has no name.`)
    return name
  }

  /** Within a transaction of append. */
  idOrNew(name: SeriesId): number {
    const known = this.#ids.get(name)
    if (known !== undefined) return known
    const id = Number(this.#insert.run(name).lastInsertRowid)
    this.#know(id, name)
    this.#added.push(name)
    return id
  }

  committed(): void {
    if (this.#added.length > 0) this.#added = []
  }

  rolledBack(): void {
    for (const name of this.#added) {
      this.#names.delete(this.#ids.get(name) ?? 0)
      this.#ids.delete(name)
    }
    this.#added = []
  }

  #know(id: number, name: SeriesId): void {
    this.#ids.set(name, id)
    this.#names.set(id, name)
  }
}
