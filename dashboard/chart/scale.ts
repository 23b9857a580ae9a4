/** A straight scale from values to pixels, and round numbers to write beside it: the ground under every picture. */

export interface Scale {
  (value: number): number
  readonly from: number
  readonly to: number
}

/** Maps from…to onto startPx…endPx; a scale without extent maps everything to its middle. */
export function scale(from: number, to: number, startPx: number, endPx: number): Scale {
  const span = to - from
  const at = (value: number) =>
    span === 0 ? (startPx + endPx) / 2 : startPx + ((value - from) / span) * (endPx - startPx)
  return Object.assign(at, { from, to })
}

const steps = [1, 2, 5, 10]

/** Round numbers within from…to, about `wanted` of them. */
export function roundMarks(from: number, to: number, wanted: number): number[] {
  const rough = (to - from) / Math.max(1, wanted)
  if (!(rough > 0) || !Number.isFinite(rough)) return []
  const power = 10 ** Math.floor(Math.log10(rough))
  const step = power * (steps.find((s) => s * power >= rough) ?? 10)
  const marks: number[] = []
  for (let n = Math.ceil(from / step); n * step <= to + step * 1e-9; n++) marks.push(Number((n * step).toPrecision(12)))
  return marks
}

const minute = 60_000
const timeSteps = [1, 2, 5, 10, 15, 30, 60, 120, 180, 240, 360, 720, 1_440].map((m) => m * minute)

/** Instants at round times of day of the foundry (offset = local minus UTC, ms), about `wanted` of them. */
export function timeMarks(from: number, to: number, wanted: number, offsetMs: number): number[] {
  const rough = (to - from) / Math.max(1, wanted)
  const step = timeSteps.find((s) => s >= rough) ?? Math.ceil(rough / (1_440 * minute)) * 1_440 * minute
  if (!(rough > 0) || !Number.isFinite(rough)) return []
  const marks: number[] = []
  for (let t = Math.ceil((from + offsetMs) / step) * step - offsetMs; t <= to; t += step) marks.push(t)
  return marks
}

/** The path of a line through points; null lifts the pen. */
export function pathOf(t: readonly number[], v: readonly (number | null)[], x: Scale, y: Scale): string {
  let path = ''
  let pen = false
  for (let i = 0; i < t.length; i++) {
    const value = v[i]
    if (value === null || value === undefined) {
      pen = false
      continue
    }
    path += `${pen ? 'L' : 'M'}${x(t[i] as number).toFixed(1)} ${y(value).toFixed(1)}`
    pen = true
  }
  return path
}
