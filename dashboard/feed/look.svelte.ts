/** A look back: what is being looked at, moving; the pieces in hand for it and for what it is compared with; and when it has come to rest. */
import type { DurationMs, EpochMs } from '../../shared/time.ts'
import { endOf, heldBy, type Span, type View } from '../chart/grid.ts'
import type { Held } from '../chart/held.ts'
import { api, sentenceOf } from './api.ts'
import { after, nextFrame, steadyMs } from './clock.ts'
import { Pieces } from './pieces.ts'

/** The view has come to rest when it has not moved for so long. */
const restMs = 220

export interface LookWish {
  series: readonly string[]
  now(): EpochMs
  limits(): Span
}

export class Look {
  /** The view where it last came to rest; null before the first. */
  rested = $state.raw<View | null>(null)
  trouble = $state.raw('')
  /** Something can be drawn. Whatever else the page wants to know waits until then: the picture comes first. */
  hasPicture = $state.raw(false)
  /** How much earlier the compared span lies, ms; null where nothing is compared. */
  shiftMs = $state.raw<DurationMs | null>(null)

  readonly series: readonly string[]
  readonly #wish: LookWish
  readonly #pieces: Pieces
  readonly #before: Pieces
  readonly #drawers = new Set<(isResting: boolean) => void>()
  #view: View | null = null
  #frame: (() => void) | null = null
  #rest: (() => void) | null = null
  #stopped = false

  constructor(wish: LookWish) {
    this.#wish = wish
    this.series = wish.series
    this.#pieces = this.#read(() => 0)
    this.#before = this.#read(() => this.shiftMs ?? 0)
  }

  #read(shiftMs: () => DurationMs): Pieces {
    return new Pieces({
      ask: async ({ from, to, width }, signal) => {
        const { head, rows } = await api.charts(this.series, from, to, width, signal)
        return new Map(head.charts.map(({ series }, i) => [series, rows[i] ?? { t: [], v: [] }]))
      },
      steadyMs,
      after,
      now: () => this.#wish.now() - shiftMs(),
      limits: () => {
        const { from, to } = this.#wish.limits()
        return { from, to: to - shiftMs() }
      },
      changed: () => {
        this.hasPicture ||= !this.held.isEmpty
        this.#draw()
      },
      troubled: (error) => (this.trouble = error === null ? '' : sentenceOf(error)),
    })
  }

  get view(): View | null {
    return this.#view
  }

  get held(): Held {
    return this.#pieces.held
  }

  get heldBefore(): Held {
    return this.#before.held
  }

  now(): EpochMs {
    return this.#wish.now()
  }

  /** The same span as it is compared with. */
  before(view: View): View | null {
    return this.shiftMs === null ? null : { ...view, from: view.from - this.shiftMs }
  }

  /** Draws with every picture in which something moved; returns how to end it. */
  onFrame(draw: (isResting: boolean) => void): () => void {
    this.#drawers.add(draw)
    return () => this.#drawers.delete(draw)
  }

  move(view: View): void {
    if (this.#stopped) return
    this.#view = heldBy(view, this.#wish.limits())
    this.#want()
    this.#rest?.()
    this.#rest = after(restMs, () => this.#cameToRest())
    this.#draw()
  }

  /** Where it is now is where it stays. */
  settle(view: View): void {
    this.move(view)
    this.#cameToRest()
  }

  compare(shiftMs: DurationMs | null): void {
    if (shiftMs === this.shiftMs) return
    this.shiftMs = shiftMs
    this.#before.stop()
    this.#want()
    this.#draw()
  }

  stop(): void {
    this.#stopped = true
    this.#pieces.stop()
    this.#before.stop()
    this.#rest?.()
    this.#frame?.()
  }

  #want(): void {
    const view = this.#view
    if (view === null) return
    this.#pieces.want(view)
    const before = this.before(view)
    if (before && endOf(before) > 0) this.#before.want({ ...before, from: Math.max(0, before.from) })
  }

  #cameToRest(): void {
    this.#rest?.()
    this.#rest = null
    this.rested = this.#view
    this.#draw()
  }

  #draw(): void {
    this.#frame ??= nextFrame(() => {
      this.#frame = null
      for (const draw of this.#drawers) draw(this.#rest === null)
    })
  }
}
