/** Who reads for charts, sums and sealing: workers with connections of their own, so that no span, however long, holds up an acknowledgement. */
import { Worker } from 'node:worker_threads'
import { StoreClosed } from '../refusal.ts'
import { BlockDamaged } from '../sealed/damage.ts'
import { type Answer, Answerer, type Job } from './jobs.ts'
import type { Database } from 'better-sqlite3'

export interface Readers {
  /** Rejects with the signal's reason once it is given up; with StoreClosed when the store closes first. */
  ask<J extends Job>(job: J, signal?: AbortSignal): Promise<Answer<J>>
  close(): Promise<void>
}

/** What a worker is made with. In `givenUp` each waiting job has a place that turns from 0 to 1 when nobody waits for it any more. */
export interface Begun {
  file: string
  givenUp: Int32Array
}

/** What goes to a worker, some at once; all of them come back together. */
export interface Asked {
  id: number
  place: number
  job: Job
}

/** What comes back. */
export type Told = { id: number; answer: unknown } | { id: number; trouble: string; damagedAt: string | null }

/** Reads where it is asked, on the store's own connection: for tools and tests. */
export function readersHere(db: Database): Readers {
  const answerer = new Answerer(db)
  return {
    ask: async <J extends Job>(job: J, signal?: AbortSignal) => {
      signal?.throwIfAborted()
      return answerer.answer(job, () => false)
    },
    close: async () => {},
  }
}

/** Reason: one may walk ten years while the other answers; on two cores a third would only wait. */
const workersMax = 2

/** What a worker lets stand of what nobody needs any more. Reason: at 6 a year's chart waits for it, and at 48 it is drawn no faster than at 16. */
const maxYoungGenerationSizeMb = 16

/** Jobs waiting at once. Reason: a wall of charts; beyond it somebody asks in a loop. */
const waitingMax = 2_000

/** Jobs in one message. Reason: a message costs as much as a small chart, and while one worker has the last of them the other waits. */
const jobsTogether = 4

interface Waiting {
  place: number
  /** −1 until it has gone to one. */
  worker: number
  settle(told: Told): void
  reject(reason: unknown): void
}

/** The first worker is started at once, the other when somebody first wants to see something. `script` is the built reader-worker. */
export function readersBeside(file: string, script: URL): Readers {
  return new WorkerReaders(file, script)
}

class WorkerReaders implements Readers {
  readonly #file: string
  readonly #script: URL
  readonly #workers: (Worker | null)[] = Array.from({ length: workersMax }, () => null)
  readonly #load = Array.from({ length: workersMax }, () => 0)
  readonly #waiting = new Map<number, Waiting>()
  readonly #givenUp = new Int32Array(new SharedArrayBuffer(4 * waitingMax))
  readonly #freePlaces = Array.from({ length: waitingMax }, (_, i) => i)
  /** Asked for in this turn, and not yet sent. */
  #gathered: Asked[] = []
  #next = 0
  #closed = false

  constructor(file: string, script: URL) {
    this.#file = file
    this.#script = script
    this.#worker(0)
  }

  ask<J extends Job>(job: J, signal?: AbortSignal): Promise<Answer<J>> {
    return new Promise<Answer<J>>((resolve, reject) => {
      if (this.#closed) return reject(new StoreClosed())
      if (signal?.aborted) return reject(signal.reason)
      const id = this.#next++
      const place = this.#freePlaces.pop()
      if (place === undefined) return reject(new Error('Too much is being read at once; ask again later.'))
      Atomics.store(this.#givenUp, place, 0)
      const giveUp = () => {
        const waiting = this.#waiting.get(id)
        if (waiting === undefined) return
        Atomics.store(this.#givenUp, place, 1)
        // Its place is free only when the worker has come to it.
        this.#waiting.set(id, { ...waiting, settle: () => {}, reject: () => {} })
        reject(signal?.reason)
      }
      signal?.addEventListener('abort', giveUp, { once: true })
      const settle = (told: Told) => {
        signal?.removeEventListener('abort', giveUp)
        if ('answer' in told) resolve(told.answer as Answer<J>)
        else reject(told.damagedAt === null ? new Error(told.trouble) : new BlockDamaged(told.damagedAt, told.trouble))
      }
      this.#waiting.set(id, { place, worker: -1, settle, reject })
      this.#gathered.push({ id, place, job })
      if (this.#gathered.length === 1) queueMicrotask(() => this.#send())
    })
  }

  /** What was asked for together travels together. */
  #send(): void {
    const all = this.#gathered
    this.#gathered = []
    // Closed meanwhile: nobody waits, and no worker must begin any more.
    if (this.#closed) return
    // Who looks at one chart will look at more, and should not wait for a worker to begin by then. Sealing alone needs only one.
    if (all.some(({ job }) => job.job !== 'prepare')) this.#worker(workersMax - 1)
    for (let i = 0; i < all.length; i += jobsTogether) {
      const some = all.slice(i, i + jobsTogether).filter(({ id }) => this.#waiting.has(id))
      if (some.length === 0) continue
      const worker = this.#idlest()
      for (const { id } of some) (this.#waiting.get(id) as Waiting).worker = worker
      this.#load[worker] = (this.#load[worker] ?? 0) + some.length
      this.#worker(worker).postMessage(some)
    }
  }

  async close(): Promise<void> {
    this.#closed = true
    for (const { reject } of this.#waiting.values()) reject(new StoreClosed())
    this.#waiting.clear()
    for (const worker of this.#workers) await worker?.terminate()
  }

  /** The running one with least to do; another one only when all that run are busy. */
  #idlest(): number {
    let best = 0
    for (let i = 0; i < workersMax; i++) {
      if (this.#workers[i] === null) return this.#load[best] === 0 && this.#workers[best] !== null ? best : i
      if ((this.#load[i] ?? 0) < (this.#load[best] ?? 0)) best = i
    }
    return best
  }

  #worker(index: number): Worker {
    const running = this.#workers[index]
    if (running) return running
    const begun: Begun = { file: this.#file, givenUp: this.#givenUp }
    const worker = new Worker(this.#script, { workerData: begun, resourceLimits: { maxYoungGenerationSizeMb } })
    worker.on('message', (all: Told[]) => {
      for (const told of all) this.#done(told.id)?.settle(told)
    })
    // A reader that dies takes its questions along; the next question starts another.
    worker.on('error', (error) => this.#lost(index, error))
    worker.unref()
    this.#workers[index] = worker
    return worker
  }

  #done(id: number): Waiting | undefined {
    const waiting = this.#waiting.get(id)
    if (waiting === undefined) return undefined
    this.#waiting.delete(id)
    this.#freePlaces.push(waiting.place)
    this.#load[waiting.worker] = (this.#load[waiting.worker] ?? 1) - 1
    return waiting
  }

  #lost(index: number, error: unknown): void {
    this.#workers[index] = null
    for (const [id, waiting] of [...this.#waiting]) if (waiting.worker === index) this.#done(id)?.reject(error)
  }
}
