/** The pieces of charts in hand: which of them to draw where, and what is still to be read. Pure. */
import type { EpochMs } from '../../shared/time.ts'
import { covers, endOf, sameGrid, type Span, type View } from './grid.ts'

/** Rows of one line, as they came: times rising, NaN where a hole begins. */
export interface Rows {
  readonly t: ArrayLike<number>
  readonly v: ArrayLike<number>
}

export interface Piece extends View {
  rows: ReadonlyMap<string, Rows>
  /** Nothing measured later than this can be in it. */
  asOf: EpochMs
}

export interface Layer extends Span {
  piece: Piece
}

/** So many pieces are kept. Reason: the way one zoomed in is the way one goes back, and each is some hundred kilobytes. */
const piecesMax = 6
/** So long after reading, a view that reaches to the present is read anew when it is moved. */
const staleMs = 60_000

export class Held {
  #pieces: Piece[] = []

  get isEmpty(): boolean {
    return this.#pieces.length === 0
  }

  add(piece: Piece): void {
    this.#pieces = [piece, ...this.#pieces.filter((old) => !(sameGrid(old, piece) && covers(piece, old)))].slice(
      0,
      piecesMax,
    )
  }

  clear(): void {
    this.#pieces = []
  }

  /** Disjoint spans with the piece that is drawn in each: the nearest to the view's own columns first, others where it ends. */
  layers(view: View): Layer[] {
    const nearness = (piece: Piece) => (sameGrid(piece, view) ? -1 : Math.abs(Math.log(piece.step / view.step)))
    const byNearness = [...this.#pieces].sort((a, b) => nearness(a) - nearness(b))
    let open: Span[] = [{ from: view.from, to: endOf(view) }]
    const layers: Layer[] = []
    for (const piece of byNearness) {
      for (const span of open) {
        const shared = { from: Math.max(span.from, piece.from), to: Math.min(span.to, endOf(piece)) }
        if (shared.from < shared.to) layers.push({ piece, ...shared })
      }
      open = open.flatMap((span) => without(span, { from: piece.from, to: endOf(piece) }))
    }
    return layers.sort((a, b) => a.from - b.from)
  }

  /** Spans of the view of which nothing is in hand. */
  unread(view: View): Span[] {
    let open: Span[] = [{ from: view.from, to: endOf(view) }]
    for (const piece of this.#pieces)
      open = open.flatMap((span) => without(span, { from: piece.from, to: endOf(piece) }))
    return open
  }

  /** Whether something is to be read: the view itself, or soon what lies beside it. */
  lacks(view: View, now: EpochMs, limits: Span): 'view' | 'surroundings' | null {
    const here = this.#pieces.filter((piece) => sameGrid(piece, view) && covers(piece, view))
    const fresh = here.filter((piece) => Math.min(endOf(view), now) - piece.asOf <= Math.max(staleMs, 2 * view.step))
    if (fresh.length === 0) return 'view'
    const half = Math.floor(view.width / 2) * view.step
    const wide = {
      from: Math.max(view.from - half, Math.min(limits.from, view.from)),
      to: Math.min(endOf(view) + half, Math.max(limits.to, endOf(view))),
    }
    const isWide = fresh.some((piece) => piece.from <= wide.from && endOf(piece) >= wide.to)
    return isWide ? null : 'surroundings'
  }
}

function without(span: Span, taken: Span): Span[] {
  if (taken.to <= span.from || taken.from >= span.to) return [span]
  const rest: Span[] = []
  if (taken.from > span.from) rest.push({ from: span.from, to: taken.from })
  if (taken.to < span.to) rest.push({ from: taken.to, to: span.to })
  return rest
}
