/** Whether two ways of drawing a chart say the same in each pixel column: instants and values of first and last, values of lowest and highest. */
import type { ChartRows } from '../../../shared/contract/index.ts'
import type { Window } from './ask.ts'

interface Pixel {
  firstT: number
  firstV: number
  low: number
  high: number
  lastT: number
  lastV: number
}

/** Pixel columns that differ, in one chart of ours and in rows as `Duck.m4` gives them of the same series. */
export function differing(ours: ChartRows, window: Window, theirs: readonly number[][], series: number): number {
  const mine = pixelsOf(ours, window)
  const [of, pixel, firstT, firstV, , low, , high, lastT, lastV] = theirs as number[][] & { length: 11 }
  let [rows, same] = [0, 0]
  of?.forEach((id, i) => {
    if (id !== series) return
    rows++
    const found = mine.get(pixel?.[i] as number)
    const isSame =
      found !== undefined &&
      found.firstT === firstT?.[i] &&
      found.firstV === firstV?.[i] &&
      found.low === low?.[i] &&
      found.high === high?.[i] &&
      found.lastT === lastT?.[i] &&
      found.lastV === lastV?.[i]
    if (isSame) same++
  })
  return Math.max(rows, mine.size) - same
}

/** The neighbours beyond the span, to which only the line runs on, and the marks of holes do not count. */
function pixelsOf({ t, v }: ChartRows, { from, to, width }: Window): Map<number, Pixel> {
  const pixels = new Map<number, Pixel>()
  t.forEach((at, i) => {
    const value = v[i] as number
    if (Number.isNaN(value) || at < from || at >= to) return
    const nth = Math.floor(((at - from) / (to - from)) * width)
    const known = pixels.get(nth)
    if (known === undefined)
      pixels.set(nth, { firstT: at, firstV: value, low: value, high: value, lastT: at, lastV: value })
    else
      Object.assign(known, {
        low: Math.min(known.low, value),
        high: Math.max(known.high, value),
        lastT: at,
        lastV: value,
      })
  })
  return pixels
}
