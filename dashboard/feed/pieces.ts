/** Reads the pieces of charts that a moving view needs: not oftener than an eye asks, never an older answer after a newer one. */
import type { DurationMs, EpochMs } from '../../shared/time.ts'
import { covers, endOf, sameGrid, type Span, surroundings, type View } from '../chart/grid.ts'
import { Held, type Piece, type Rows } from '../chart/held.ts'

export interface PiecesDoors {
  /** Rows of every line in this window; rejects when the signal is given up. */
  ask(window: View & Span, signal: AbortSignal): Promise<ReadonlyMap<string, Rows>>
  /** Time that never steps, ms. */
  steadyMs(): number
  /** The gateway's time. */
  now(): EpochMs
  after(delayMs: DurationMs, run: () => void): () => void
  /** What there is at all; beyond it nothing is asked for in advance. */
  limits(): Span
  /** Something new can be drawn. */
  changed(): void
  /** A question failed, or (null) one was answered again. */
  troubled(error: unknown): void
}

/** Columns of one request: the gateway's own limit. */
const columnsMax = 8_192
/** Time between two questions while the view moves. */
const pauseMs = 120
/** After a failure. */
const retryMs = 4_000

export class Pieces {
  readonly held = new Held()
  readonly #doors: PiecesDoors
  #view: View | null = null
  #asking: { window: View; controller: AbortController } | null = null
  #askedAtMs = Number.NEGATIVE_INFINITY
  #failedAtMs = Number.NEGATIVE_INFINITY
  #callOff: (() => void) | null = null

  constructor(doors: PiecesDoors) {
    this.#doors = doors
  }

  /** The viewer looks here now. */
  want(view: View): void {
    this.#view = view
    this.#look()
  }

  stop(): void {
    this.#callOff?.()
    this.#callOff = null
    this.#asking?.controller.abort()
    this.#asking = null
    this.#view = null
  }

  #look(): void {
    const view = this.#view
    if (view === null) return
    const lack = this.held.lacks(view, this.#doors.now(), this.#doors.limits())
    if (lack === null) return
    // The first picture is not kept waiting for what lies beside it.
    const window = lack === 'view' && this.held.isEmpty ? view : surroundings(view, columnsMax)
    if (this.#asking && sameGrid(this.#asking.window, view) && covers(this.#asking.window, view)) return
    const since = this.#doors.steadyMs()
    const waitMs = Math.max(this.#askedAtMs + pauseMs - since, this.#failedAtMs + retryMs - since)
    if (waitMs > 0) {
      this.#callOff ??= this.#doors.after(waitMs, () => {
        this.#callOff = null
        this.#look()
      })
      return
    }
    void this.#ask(window)
  }

  async #ask(window: View): Promise<void> {
    // Whoever was asked before is asked for a place the viewer has left.
    this.#asking?.controller.abort()
    const mine = { window, controller: new AbortController() }
    this.#asking = mine
    this.#askedAtMs = this.#doors.steadyMs()
    const asOf = this.#doors.now()
    try {
      const rows = await this.#doors.ask({ ...window, to: endOf(window) }, mine.controller.signal)
      // What comes after it was given up is older than what is on its way.
      if (this.#asking !== mine) return
      this.#asking = null
      this.#failedAtMs = Number.NEGATIVE_INFINITY
      this.held.add({ ...window, rows, asOf } satisfies Piece)
      this.#doors.troubled(null)
      this.#doors.changed()
    } catch (error) {
      if (this.#asking !== mine) return
      this.#asking = null
      this.#failedAtMs = this.#doors.steadyMs()
      this.#doors.troubled(error)
    }
    this.#look()
  }
}
