/** A chart's line on a screen of black and white pixels, drawn by Bresenham's rule: the judge of whether thinning changed a picture. */

/** Where values lie on the screen: lowest at the bottom row, highest at the top. */
export interface Scale {
  from: number
  to: number
  columns: number
  lowest: number
  highest: number
  rows: number
}

/** One byte for each pixel, row by row; 1 where the line is. A null ends the line; a lone point is one pixel. */
export function raster(t: readonly number[], v: readonly (number | null)[], scale: Scale): Uint8Array {
  const screen = new Uint8Array(scale.columns * scale.rows)
  let pen: { x: number; y: number } | null = null
  for (let i = 0; i < t.length; i++) {
    const value = v[i] as number | null
    if (value === null) pen = null
    else {
      const next = { x: columnOf(t[i] as number, scale), y: rowOf(value, scale) }
      line(screen, scale, pen ?? next, next)
      pen = next
    }
  }
  return screen
}

function columnOf(t: number, { from, to, columns }: Scale): number {
  return Math.floor(((t - from) / (to - from)) * columns)
}

function rowOf(value: number, { lowest, highest, rows }: Scale): number {
  return Math.min(rows - 1, Math.floor(((value - lowest) / (highest - lowest)) * rows))
}

function line(screen: Uint8Array, scale: Scale, a: { x: number; y: number }, b: { x: number; y: number }): void {
  const dx = Math.abs(b.x - a.x)
  const dy = -Math.abs(b.y - a.y)
  const stepX = a.x < b.x ? 1 : -1
  const stepY = a.y < b.y ? 1 : -1
  let error = dx + dy
  let { x, y } = a
  for (;;) {
    if (x >= 0 && x < scale.columns && y >= 0 && y < scale.rows) screen[y * scale.columns + x] = 1
    if (x === b.x && y === b.y) return
    const twice = 2 * error
    if (twice >= dy) {
      error += dy
      x += stepX
    }
    if (twice <= dx) {
      error += dx
      y += stepY
    }
  }
}

export function differingPixels(a: Uint8Array, b: Uint8Array): number {
  return a.reduce((count, pixel, i) => count + (pixel === b[i] ? 0 : 1), 0)
}
