/** What the journal says of the nightly mail: since when it is on, and how far each night has come. What the disk did not take is told again. */
import type { EntryOf, MailedLast, NewEntry } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'
import type { Fate, Store } from '../store/store.ts'

type MailedEntry = Extract<NewEntry, { kind: 'mailed' }>

export interface MailLedgerParts {
  store: Pick<Store, 'newest'>
  record: (entries: NewEntry[]) => Promise<Fate[]>
}

/** Entries that are read at the start: some for each night that can still be due. */
const entriesRead = 200

export class MailLedger {
  readonly #parts: MailLedgerParts
  #switched: EntryOf<'mailing'> | null = null
  #nights = new Map<string, MailedEntry>()
  #last: MailedEntry | null = null
  #unsaved: MailedEntry[] = []

  constructor(parts: MailLedgerParts) {
    this.#parts = parts
  }

  /** Finds the mail switched on, or switches it on now. Rejects where the disk does not take it. */
  async begin(now: EpochMs): Promise<void> {
    if (this.#switched !== null) return
    const { store, record } = this.#parts
    const entries = await store.newest('mailed', entriesRead)
    for (const entry of entries.reverse()) this.#hold(entry)
    if (!(await this.#newestSwitch())?.on) await record([{ kind: 'mailing', at: now, on: true }])
    this.#switched = await this.#newestSwitch()
  }

  /** Writes down that it is off, where it was on: what passes from here on is not mailed when it is on again. */
  async off(now: EpochMs): Promise<void> {
    if ((await this.#newestSwitch())?.on) await this.#parts.record([{ kind: 'mailing', at: now, on: false }])
  }

  async #newestSwitch(): Promise<EntryOf<'mailing'> | null> {
    const [newest] = await this.#parts.store.newest('mailing', 1)
    return newest ?? null
  }

  /** When it was switched on; null before `begin`. */
  get onSince(): EpochMs | null {
    return this.#switched?.at ?? null
  }

  of(night: string): MailedEntry | undefined {
    return this.#nights.get(night)
  }

  /** The same for every try of a night, also after a restart; another one in another journal, or after it was off. */
  messageIdOf(night: string, from: string): string {
    const { seq, at } = this.#switched ?? { seq: 0, at: 0 }
    return `<night-${night}.${seq}.${at.toString(36)}@${from.slice(from.lastIndexOf('@') + 1)}>`
  }

  /** Held from now on, written down as soon as the disk takes it; resolves in both cases. */
  async write(entry: MailedEntry): Promise<void> {
    this.#hold(entry)
    this.#unsaved.push(entry)
    await this.save().catch(() => {})
  }

  /** Writes down what the disk did not take before. */
  async save(): Promise<void> {
    const entries = [...this.#unsaved]
    if (entries.length === 0) return
    await this.#parts.record(entries)
    this.#unsaved = this.#unsaved.slice(entries.length)
  }

  #hold(entry: MailedEntry): void {
    this.#nights.set(entry.night, entry)
    this.#last = entry
  }

  get last(): MailedLast | null {
    if (this.#last === null) return null
    const { night, at, taken, waiting, refused } = this.#last
    return { night, at, taken: taken.length, waiting: waiting.length, refused }
  }
}
