/** What is looked at, on a fixed grid: one column is one device pixel, and panning moves by whole columns, so that pieces fit. Pure. */
import type { DurationMs, EpochMs } from '../../shared/time.ts'

/** Columns of whole milliseconds: column k begins at from + k × step. */
export interface View {
  from: EpochMs
  step: DurationMs
  width: number
}

export interface Span {
  from: EpochMs
  to: EpochMs
}

/** Nothing is looked at closer than this. Reason: no instrument of the trade speaks in less than some milliseconds. */
const stepMsMin = 1
/** Nor wider than a century. */
const spanMsMax = 100 * 366 * 86_400_000

export const endOf = ({ from, step, width }: View): EpochMs => from + step * width
export const spanOf = (view: View): Span => ({ from: view.from, to: endOf(view) })

/** The narrowest view that holds the whole span. */
export function viewOf({ from, to }: Span, width: number): View {
  const start = Math.floor(from)
  const step = Math.max(stepMsMin, Math.ceil((Math.min(to, start + spanMsMax) - start) / width))
  return { from: start, step, width }
}

/** To the right where columns are positive. The grid stays the same. */
export function panned(view: View, columns: number): View {
  return { ...view, from: view.from + Math.round(columns) * view.step }
}

/** Closer where the factor is below 1; what lies at this column stays there, to within one column. */
export function zoomed(view: View, factor: number, column: number): View {
  const stepMax = Math.max(stepMsMin, Math.floor(spanMsMax / view.width))
  const wished = factor < 1 ? Math.floor(view.step * factor) : Math.ceil(view.step * factor)
  const step = Math.min(stepMax, Math.max(stepMsMin, wished))
  return { ...view, step, from: Math.round(view.from + column * view.step - column * step) }
}

/** Somewhere within what there is: the middle of the view never leaves it. */
export function heldBy(view: View, limits: Span): View {
  const half = (view.step * view.width) / 2
  const middle = view.from + half
  if (middle < limits.from) return panned(view, Math.ceil((limits.from - middle) / view.step))
  if (middle > limits.to) return panned(view, -Math.ceil((middle - limits.to) / view.step))
  return view
}

export const covers = (outer: View, inner: View): boolean => outer.from <= inner.from && endOf(outer) >= endOf(inner)

/** True where their columns are the same columns. */
export function sameGrid(a: View, b: View): boolean {
  return a.step === b.step && (a.from - b.from) % a.step === 0
}

/** The view with as much again on either side, as far as one request may ask; on the grid of the view. */
export function surroundings(view: View, columnsMax: number): View {
  const margin = Math.max(0, Math.min(view.width, Math.floor((columnsMax - view.width) / 2)))
  // Before 1970 nobody asks.
  const left = Math.min(margin, Math.max(0, Math.floor(view.from / view.step)))
  return { from: view.from - left * view.step, step: view.step, width: left + view.width + margin }
}
