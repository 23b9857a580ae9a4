/** The pen of long charts: draws a line from its rows as they came, column by column where they are dense, so that a spike is never lost. */
import type { Rows } from './held.ts'

/** Where the line is put: device pixels of one stretch of paper. */
export interface Paper {
  ctx: CanvasRenderingContext2D
  /** The paper's left edge, and the columns of it that may be drawn on: from ≤ column < to. */
  left: number
  from: number
  to: number
  /** Time at the left edge of the paper, and of one column. */
  startMs: number
  stepMs: number
  /** The y of a stored value. */
  y(value: number): number
}

export interface Stroke {
  colour: string
  /** Device pixels. */
  width: number
  /** Lengths in columns, drawn full and weak by turns along time; empty for a whole line. A weak part stays visible: it may hold a spike. */
  dash: readonly number[]
  /** How strong the line is, 0 … 1, and how strong its weak parts are beside that. */
  strength: number
  weak: number
  /** Lines that lie over one another as broad bands let one another through. */
  seeThrough: boolean
}

/** Index of the first row at or after `at`. */
export function rowAt(t: ArrayLike<number>, at: number): number {
  let low = 0
  let high = t.length
  while (low < high) {
    const middle = (low + high) >> 1
    if ((t[middle] as number) < at) low = middle + 1
    else high = middle
  }
  return low
}

/** The rows that a stretch of time shows, with one neighbour on either side from which the line enters and leaves. */
export function rowsWithin(t: ArrayLike<number>, from: number, to: number): [first: number, end: number] {
  return [Math.max(0, rowAt(t, from) - 1), Math.min(t.length, rowAt(t, to) + 1)]
}

/** Least and greatest y of a line in each column, NaN where it is not. Straight between neighbours, never across a hole. */
export function columnsOf(
  { t, v }: Rows,
  paper: Omit<Paper, 'ctx' | 'left'>,
): { least: Float32Array; most: Float32Array } {
  const { from, to, startMs, stepMs } = paper
  const most = new Float32Array(to - from).fill(Number.NaN)
  const least = new Float32Array(to - from).fill(Number.NaN)
  const reach = (column: number, y: number) => {
    const i = column - from
    if (i < 0 || i >= most.length) return
    if (!(y <= (most[i] as number))) most[i] = y
    if (!(y >= (least[i] as number))) least[i] = y
  }
  const [first, end] = rowsWithin(t, startMs + from * stepMs, startMs + to * stepMs)
  let beforeX = Number.NaN
  let beforeY = Number.NaN
  for (let i = first; i < end; i++) {
    const value = v[i] as number
    const y = Number.isNaN(value) ? Number.NaN : paper.y(value)
    const x = ((t[i] as number) - startMs) / stepMs
    const column = Math.floor(x)
    if (!Number.isNaN(y)) {
      // Between columns the line crosses their edges; each of both columns reaches to where it does.
      if (!Number.isNaN(beforeY)) {
        const slope = (y - beforeY) / (x - beforeX)
        const last = Math.min(column, to)
        for (let edge = Math.max(Math.floor(beforeX) + 1, from); edge <= last; edge++) {
          const at = beforeY + (edge - beforeX) * slope
          reach(edge - 1, at)
          reach(edge, at)
        }
      }
      reach(column, y)
    }
    beforeX = x
    beforeY = y
  }
  return { least, most }
}

/** True where column k lies in a weak part of the dash; the dash is bound to time, so that it moves with the line. */
export function isWeak(column: number, dash: readonly number[]): boolean {
  if (dash.length === 0) return false
  const period = dash.reduce((sum, part) => sum + part, 0)
  let rest = ((column % period) + period) % period
  for (let i = 0; i < dash.length; i++) {
    rest -= dash[i] as number
    if (rest < 0) return i % 2 === 1
  }
  return false
}

export function draw(rows: Rows, paper: Paper, stroke: Stroke): void {
  const [first, end] = rowsWithin(
    rows.t,
    paper.startMs + paper.from * paper.stepMs,
    paper.startMs + paper.to * paper.stepMs,
  )
  // Up to one and a half rows a column a true line is as cheap, and smoother.
  if (end - first > 1.5 * (paper.to - paper.from)) drawColumns(rows, paper, stroke)
  else drawLine(rows, first, end, paper, stroke)
}

const throughStrength = 0.72

function drawColumns(rows: Rows, paper: Paper, stroke: Stroke): void {
  const { ctx, left, from, startMs, stepMs } = paper
  const { least, most } = columnsOf(rows, paper)
  // Columns that let through must not overlap.
  const isClear = stroke.seeThrough || stroke.dash.length > 0 || stroke.strength < 1
  const wide = isClear ? 1 : stroke.width
  const strength = stroke.seeThrough ? Math.min(stroke.strength, throughStrength) : stroke.strength
  const half = stroke.width / 2
  const gridColumn = Math.round(startMs / stepMs)
  const passes = stroke.dash.length === 0 ? [false] : [false, true]
  for (const weak of passes) {
    ctx.globalAlpha = strength * (weak ? stroke.weak : 1)
    ctx.fillStyle = stroke.colour
    for (let i = 0; i < least.length; i++) {
      const high = least[i] as number
      if (Number.isNaN(high) || (passes.length > 1 && isWeak(gridColumn + from + i, stroke.dash) !== weak)) continue
      ctx.fillRect(left + from + i + 0.5 - wide / 2, high - half, wide, (most[i] as number) - high + stroke.width)
    }
  }
  ctx.globalAlpha = 1
}

/** Long strokes cost much more than many short ones. */
const rowsAtOnce = 64

function drawLine({ t, v }: Rows, first: number, end: number, paper: Paper, stroke: Stroke): void {
  const { ctx, left, startMs, stepMs } = paper
  ctx.strokeStyle = stroke.colour
  ctx.fillStyle = stroke.colour
  ctx.lineWidth = stroke.width
  ctx.lineJoin = 'round'
  ctx.lineCap = 'butt'
  const x = (i: number) => left + ((t[i] as number) - startMs) / stepMs
  const passes = stroke.dash.length === 0 ? [1] : [stroke.weak, 1]
  for (const alpha of passes) {
    ctx.globalAlpha = stroke.strength * alpha
    ctx.setLineDash(passes.length > 1 && alpha === 1 ? [...stroke.dash] : [])
    let begun = -1
    for (let i = first; i <= end; i++) {
      const isDown = i < end && !Number.isNaN(v[i] as number)
      if (isDown && begun < 0) begun = i
      if (isDown && i - begun < rowsAtOnce) continue
      const last = isDown ? i : i - 1
      if (begun >= 0 && last > begun) {
        ctx.beginPath()
        for (let k = begun; k <= last; k++) ctx.lineTo(x(k), paper.y(v[k] as number))
        ctx.stroke()
      } else if (begun >= 0 && alpha === passes[0]) {
        // A reading alone between two holes.
        ctx.beginPath()
        ctx.arc(x(begun), paper.y(v[begun] as number), stroke.width, 0, 2 * Math.PI)
        ctx.fill()
      }
      begun = isDown ? i : -1
    }
  }
  ctx.setLineDash([])
  ctx.globalAlpha = 1
}

/** Lowest and highest value within a stretch of time, the edges of the line included; null where nothing is. */
export function extremesOf({ t, v }: Rows, from: number, to: number): [number, number] | null {
  const [first, end] = rowsWithin(t, from, to)
  let low = Number.POSITIVE_INFINITY
  let high = Number.NEGATIVE_INFINITY
  for (let i = first; i < end; i++) {
    const at = t[i] as number
    const value = v[i] as number
    if (at < from || at >= to || Number.isNaN(value)) continue
    if (value < low) low = value
    if (value > high) high = value
  }
  return low <= high ? [low, high] : null
}

/** The last value at or before an instant, where no hole lies between. */
export function valueAt({ t, v }: Rows, at: number): { t: number; v: number } | null {
  const i = rowAt(t, at)
  const exact = t[i] === at ? i : i - 1
  const value = v[exact]
  return value === undefined || Number.isNaN(value) || (exact === t.length - 1 && t[exact] !== at)
    ? null
    : { t: t[exact] as number, v: value }
}
