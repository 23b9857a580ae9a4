/** The intake: everything that is to be remembered passes here, in order, in group commits. What cannot be kept is not acknowledged. */
import {
  commitRetryMs,
  commitRowsMax,
  type Entry,
  Fault,
  intakeWaitingMax,
  type NewEntry,
  unreadableKeptBytesMax,
} from '../../shared/contract/index.ts'
import type { Clock } from '../../shared/time.ts'
import type { Publish } from '../mqtt/inlet.ts'
import { NotStorable } from '../store/refusal.ts'
import type { Fate, Store } from '../store/store.ts'
import type { EntryMaker } from './entries.ts'

type Done = () => void

interface Waiting {
  entries: NewEntry[]
  /** Of a publish: it is on disk. */
  done?: Done
  /** Of what was recorded: what became of each. */
  tell?: (fates: Fate[]) => void
  /** Present where somebody would rather be refused than wait. */
  refuse?: (sentence: string) => void
}

/** Not copied where only one waits: the usual case of a quiet house. */
function entriesOf(batch: readonly Waiting[]): NewEntry[] {
  if (batch.length === 1) return (batch[0] as Waiting).entries
  const all: NewEntry[] = []
  for (const { entries } of batch) for (const entry of entries) all.push(entry)
  return all
}

export interface IntakeState {
  waiting: number
  /** One sentence where the disk does not take it. */
  trouble: string | null
  committed: number
  duplicates: number
}

export class Intake {
  readonly #store: Store
  readonly #clock: Clock
  readonly #maker: EntryMaker
  readonly #observe: (entries: readonly Entry[]) => void
  #queue: Waiting[] = []
  #held: { publish: Publish; done: Done }[] = []
  #committing = false
  #closing = false
  #closed = false
  #idle: (() => void)[] = []
  #trouble: string | null = null
  #committed = 0
  #duplicates = 0

  /** `observe` sees every entry once it is on disk, in the order of seq. */
  constructor(parts: { store: Store; clock: Clock; maker: EntryMaker; observe: (entries: readonly Entry[]) => void }) {
    this.#store = parts.store
    this.#clock = parts.clock
    this.#maker = parts.maker
    this.#observe = parts.observe
  }

  /** Takes a publish in; `done` is called when all of it is on disk. */
  offer(publish: Publish, done: Done): void {
    // Not acknowledged, so it will come again when we are back.
    if (this.#closing) return
    // Past the bound nothing is decoded: the packet waits, unacknowledged, and its socket with it.
    if (this.#queue.length >= intakeWaitingMax) this.#held.push({ publish, done })
    else this.#take(publish, done)
  }

  #take(publish: Publish, done: Done): void {
    const entries = this.#maker.make(publish)
    if (entries.length === 0) return done()
    this.#enter({ entries, done })
  }

  /** Called about once a second: what a format waited for in vain is told, and kept. */
  elapse(): void {
    if (this.#closing) return
    const entries = this.#maker.elapsed(this.#clock.now())
    if (entries.length > 0) this.#enter({ entries })
  }

  /** Records what did not come by MQTT: ticks, acts, a new foundry document. Resolves when it is on disk. */
  record(entries: NewEntry[]): Promise<Fate[]> {
    return new Promise((resolve) => this.#enter({ entries, tell: resolve }))
  }

  /** Like `record`, for what a person does: rejects with the fault `not-on-disk` where the disk does not take it; then it was not done. */
  recordNow(entries: NewEntry[]): Promise<Fate[]> {
    return new Promise((resolve, reject) =>
      this.#enter({ entries, tell: resolve, refuse: (sentence) => reject(new Fault('not-on-disk', sentence)) }),
    )
  }

  #enter(waiting: Waiting): void {
    if (this.#closed) return
    this.#queue.push(waiting)
    if (this.#committing) return
    this.#committing = true
    // At the end of this turn: all packets of one socket read have arrived by then.
    this.#clock.soon(() => void this.#commit())
  }

  #nextBatch(): Waiting[] {
    let rows = 0
    let count = 0
    while (count < this.#queue.length && rows < commitRowsMax) rows += (this.#queue[count++] as Waiting).entries.length
    return this.#queue.splice(0, count)
  }

  async #commit(): Promise<void> {
    while (this.#queue.length > 0 && !this.#closed) {
      let batch = this.#nextBatch()
      const left = (sentence: string) => {
        batch = this.#refuse(batch, sentence)
        return entriesOf(batch)
      }
      const fates = await this.#append(entriesOf(batch), left)
      if (fates === null) return
      this.#settle(batch, fates)
      while (this.#held.length > 0 && this.#queue.length < intakeWaitingMax / 2) {
        const { publish, done } = this.#held.shift() as { publish: Publish; done: Done }
        this.#take(publish, done)
      }
    }
    this.#committing = false
    for (const idle of this.#idle.splice(0)) idle()
  }

  /** Tries until the disk takes it: nobody is told that it is safe before. Null when the gateway stops meanwhile. */
  async #append(whole: NewEntry[], left?: (sentence: string) => NewEntry[]): Promise<Fate[] | null> {
    let entries = whole
    while (!this.#closed) {
      try {
        const fates = await this.#store.append(entries)
        this.#trouble = null
        return fates
      } catch (error) {
        if (error instanceof NotStorable) return this.#sortOut(entries, error)
        const why = error instanceof Error ? error.message : String(error)
        this.#trouble = `The disk does not take what came: ${why}. Nothing is acknowledged until it does.`
        this.#queue = this.#refuse(this.#queue, this.#trouble)
        entries = left?.(this.#trouble) ?? entries
        if (entries.length === 0) return []
        await new Promise<void>(
          (resolve) => void this.#clock.after(commitRetryMs * Math.max(1, this.#clock.pace), resolve),
        )
      }
    }
    return null
  }

  /** One entry among them can never be stored. It is found by halves and kept as unreadable; the others must not wait for it for ever. */
  async #sortOut(entries: NewEntry[], error: NotStorable): Promise<Fate[] | null> {
    const [first] = entries
    if (entries.length === 1 && first) {
      const payload = JSON.stringify(first).slice(0, unreadableKeptBytesMax)
      return this.#append([
        { at: first.at, kind: 'unreadable', topic: '', reason: error.message, bytes: payload.length, payload },
      ])
    }
    const half = entries.length >> 1
    const before = await this.#append(entries.slice(0, half))
    const after = before && (await this.#append(entries.slice(half)))
    return before && after ? [...before, ...after] : null
  }

  /** Those who still wait after whoever would rather not has been told. */
  #refuse(waiting: Waiting[], sentence: string): Waiting[] {
    for (const { refuse } of waiting) refuse?.(sentence)
    return waiting.filter(({ refuse }) => refuse === undefined)
  }

  #settle(batch: Waiting[], fates: Fate[]): void {
    // PUBACK first: it never waits for an opinion.
    let at = 0
    for (const waiting of batch) {
      const count = waiting.entries.length
      waiting.done?.()
      waiting.tell?.(fates.slice(at, at + count))
      at += count
    }
    const stored: Entry[] = []
    for (const fate of fates)
      if (fate.is === 'duplicate') this.#duplicates++
      else stored.push(fate.entry)
    this.#committed += stored.length
    if (stored.length > 0) this.#observe(stored)
  }

  state(): IntakeState {
    return {
      waiting: this.#queue.length + this.#held.length,
      trouble: this.#trouble,
      committed: this.#committed,
      duplicates: this.#duplicates,
    }
  }

  /** Resolves when nothing waits to be committed. */
  settled(): Promise<void> {
    return this.#committing ? new Promise((resolve) => this.#idle.push(resolve)) : Promise.resolve()
  }

  /** Commits what has come, and has it acknowledged; takes nothing more. */
  async close(): Promise<void> {
    this.#closing = true
    if (this.#trouble === null) await this.settled()
    this.#closed = true
  }
}
