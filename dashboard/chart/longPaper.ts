/** The paper of a long chart: its axes from the plotting library, everything else drawn on it from the pieces in hand. */
import type uPlot from 'uplot'
import type { EpochMs } from '../../shared/time.ts'
import { endOf, type Span, type View } from './grid.ts'
import type { Held, Layer, Rows } from './held.ts'
import { type DrawnLimits, stretch } from './limits.ts'
import { draw, extremesOf, rowsWithin, type Stroke } from './pen.ts'
import type { TimeMark } from './timeMarks.ts'

/** Room beside the paper, CSS pixels. */
export const leftPx = 56
export const rightPx = 10

/** Device pixel columns of the paper in a chart of this width. */
export function columnsIn(cssWidth: number, pixelRatio: number): number {
  return Math.max(1, Math.round((cssWidth - leftPx - rightPx) * pixelRatio))
}

export interface Tones {
  lines: readonly string[]
  faint: string
  rule: string
  band: string
  emergency: string
  wash: string
}

export function tonesOf(element: Element): Tones {
  const style = getComputedStyle(element)
  const of = (name: string) => style.getPropertyValue(name).trim()
  return {
    lines: ['--ink', '--wax-line', '--line-c', '--line-d', '--line-e', '--line-f'].map(of),
    faint: of('--quiet'),
    rule: of('--rule'),
    band: of('--band'),
    emergency: of('--emergency'),
    wash: of('--shell-wash'),
  }
}

/** Dashes in CSS pixels of time: with the tone they tell lines apart. */
export const lineDashes: readonly (readonly number[])[] = [[], [], [9, 5], [3, 4], [14, 4, 3, 4], [5, 9]]

/** The line of what it is compared with: the same tone, fainter and broken. */
export const beforeDash: readonly number[] = [6, 5]

export interface DrawnLine {
  series: string
  /** Place in the whole list, which gives it its tone. */
  tone: number
}

export interface LongScene {
  view: View
  lines: readonly DrawnLine[]
  held: Held
  /** The compared span, moved over this one; null where there is none. */
  before: { held: Held; view: View } | null
  now: EpochMs
  /** From stored to shown unit. */
  shown(value: number): number
  limits: DrawnLimits
}

/** Lowest and highest shown value in sight, of both spans; null where nothing is. */
export function inSight({ view, lines, held, before, shown }: LongScene): [number, number] | null {
  let low = Number.POSITIVE_INFINITY
  let high = Number.NEGATIVE_INFINITY
  for (const layer of [...held.layers(view), ...(before ? before.held.layers(before.view) : [])])
    for (const { series } of lines) {
      const rows = layer.piece.rows.get(series)
      const found = rows ? extremesOf(rows, layer.from, layer.to) : null
      if (!found) continue
      low = Math.min(low, shown(found[0]))
      high = Math.max(high, shown(found[1]))
    }
  return low <= high ? [low, high] : null
}

/** At rest the scale fits what is in sight; while moving it only widens, so that nothing jumps and no spike is cut off. */
export function scaleFor(
  scene: LongScene,
  last: [number, number] | null,
  isResting: boolean,
  spanMin: number,
): [number, number] {
  const found = inSight(scene)
  if (!found) return last ?? [0, 1]
  if (last && !isResting && found[0] >= last[0] && found[1] <= last[1]) return last
  const fitting = stretch(found[0], found[1], scene.limits, spanMin)
  return last && !isResting ? [Math.min(last[0], fitting[0]), Math.max(last[1], fitting[1])] : fitting
}

function drawLimits(plot: uPlot, { limits }: LongScene, tones: Tones): void {
  const { ctx, bbox } = plot
  const bottom = bbox.top + bbox.height
  const y = (value: number) => Math.min(bottom, Math.max(bbox.top, plot.valToPos(value, 'y', true)))
  if (limits.band) {
    const top = limits.band.to === null ? bbox.top : y(limits.band.to)
    ctx.fillStyle = tones.band
    ctx.fillRect(bbox.left, top, bbox.width, (limits.band.from === null ? bottom : y(limits.band.from)) - top)
  }
  if (limits.ceiling !== null && y(limits.ceiling) > bbox.top) {
    ctx.strokeStyle = tones.emergency
    ctx.lineWidth = 2 * devicePixelRatio
    ctx.setLineDash([10 * devicePixelRatio, 5 * devicePixelRatio])
    ctx.beginPath()
    ctx.moveTo(bbox.left, y(limits.ceiling))
    ctx.lineTo(bbox.left + bbox.width, y(limits.ceiling))
    ctx.stroke()
    ctx.setLineDash([])
  }
}

/** What is still being read is hatched: it must not look like a hole. */
function drawUnread(plot: uPlot, spans: readonly Span[], view: View, tones: Tones): void {
  const { ctx, bbox } = plot
  const gap = 9 * devicePixelRatio
  for (const span of spans) {
    const left = bbox.left + (span.from - view.from) / view.step
    const width = (span.to - span.from) / view.step
    ctx.save()
    ctx.beginPath()
    ctx.rect(left, bbox.top, width, bbox.height)
    ctx.clip()
    ctx.strokeStyle = tones.rule
    ctx.lineWidth = devicePixelRatio
    ctx.beginPath()
    for (let x = Math.floor((left - bbox.height) / gap) * gap; x < left + width; x += gap) {
      ctx.moveTo(x, bbox.top + bbox.height)
      ctx.lineTo(x + bbox.height, bbox.top)
    }
    ctx.stroke()
    if (width > 130 * devicePixelRatio) {
      ctx.fillStyle = tones.faint
      ctx.textAlign = 'center'
      ctx.font = `${13 * devicePixelRatio}px system-ui, sans-serif`
      ctx.fillText('being read …', left + width / 2, bbox.top + bbox.height / 2)
    }
    ctx.restore()
  }
}

/** Spans in which a line was not seen, as far as its piece can know. */
export function unseenIn({ t, v }: Rows, from: EpochMs, to: EpochMs): Span[] {
  const spans: Span[] = []
  const [first, end] = rowsWithin(t, from, to)
  let open: number | null = from
  for (let i = first; i < end; i++) {
    const at = t[i] as number
    if (Number.isNaN(v[i] as number)) open ??= i > first ? (t[i - 1] as number) : from
    else {
      if (open !== null && at > open && at > from) spans.push({ from: Math.max(open, from), to: Math.min(at, to) })
      open = null
    }
    // A last row is the end of what was seen.
    if (i === t.length - 1) open ??= at
  }
  if (open !== null && open < to) spans.push({ from: Math.max(open, from), to })
  return spans
}

/** Unseen time as broken boxes at the foot of the paper, one rail for each line. */
function drawUnseen(plot: uPlot, layer: Layer, scene: LongScene, tones: Tones): void {
  const { ctx, bbox } = plot
  const { view, lines, now } = scene
  const rail = 6 * devicePixelRatio
  ctx.lineWidth = devicePixelRatio
  ctx.setLineDash([3 * devicePixelRatio, 3 * devicePixelRatio])
  lines.forEach(({ series, tone }, i) => {
    const rows = layer.piece.rows.get(series)
    if (!rows) return
    ctx.strokeStyle = tones.lines[tone % tones.lines.length] ?? tones.faint
    for (const span of unseenIn(rows, layer.from, Math.min(layer.to, layer.piece.asOf, now))) {
      const width = (span.to - span.from) / view.step
      if (width < 4 * devicePixelRatio) continue
      const left = bbox.left + (span.from - view.from) / view.step
      ctx.strokeRect(
        Math.round(left) + 0.5,
        Math.round(bbox.top + bbox.height - (i + 1) * (rail + 2)) - 0.5,
        Math.round(width) - 1,
        rail,
      )
    }
  })
  ctx.setLineDash([])
}

function drawLines(
  plot: uPlot,
  layers: readonly Layer[],
  view: View,
  scene: LongScene,
  strokeOf: (line: DrawnLine) => Stroke,
): void {
  const { ctx, bbox } = plot
  const left = Math.round(bbox.left)
  // One multiplication a row: the library's own way from value to pixel asks more questions.
  const zero = plot.valToPos(0, 'y', true)
  const perUnit = plot.valToPos(1, 'y', true) - zero
  const y = (value: number) => zero + scene.shown(value) * perUnit
  for (const line of [...scene.lines].reverse())
    for (const layer of layers) {
      const rows = layer.piece.rows.get(line.series)
      if (!rows) continue
      const from = Math.max(0, Math.round((layer.from - view.from) / view.step))
      const to = Math.min(view.width, Math.round((layer.to - view.from) / view.step))
      if (to <= from) continue
      ctx.save()
      ctx.beginPath()
      ctx.rect(left + from, bbox.top, to - from, bbox.height)
      ctx.clip()
      draw(rows, { ctx, left, from, to, startMs: view.from, stepMs: view.step, y }, strokeOf(line))
      ctx.restore()
    }
}

function drawNow(plot: uPlot, { view, now }: LongScene, tones: Tones): void {
  const { ctx, bbox } = plot
  if (now <= view.from || now >= endOf(view)) return
  const x = Math.round(bbox.left + (now - view.from) / view.step) + 0.5
  ctx.fillStyle = tones.wash
  ctx.fillRect(x, bbox.top, bbox.left + bbox.width - x, bbox.height)
  ctx.strokeStyle = tones.faint
  ctx.lineWidth = devicePixelRatio
  ctx.beginPath()
  ctx.moveTo(x, bbox.top)
  ctx.lineTo(x, bbox.top + bbox.height)
  ctx.stroke()
}

export function drawScene(plot: uPlot, scene: LongScene, tones: Tones): void {
  const { ctx } = plot
  const { view, held, before } = scene
  const pixel = devicePixelRatio
  const tone = (line: DrawnLine) => tones.lines[line.tone % tones.lines.length] ?? tones.faint
  ctx.save()
  drawLimits(plot, scene, tones)
  drawNow(plot, scene, tones)
  const layers = held.layers(view)
  if (before)
    drawLines(plot, before.held.layers(before.view), before.view, scene, (line) => ({
      colour: tone(line),
      width: 1.5 * pixel,
      dash: beforeDash.map((part) => Math.round(part * pixel)),
      strength: 0.55,
      weak: 0.3,
      seeThrough: true,
    }))
  drawLines(plot, layers, view, scene, (line) => ({
    colour: tone(line),
    width: (line === scene.lines[0] ? 2 : 1.5) * pixel,
    dash: (lineDashes[line.tone % lineDashes.length] ?? []).map((part) => Math.round(part * pixel)),
    strength: 1,
    weak: 0.4,
    seeThrough: scene.lines.length > 1 || before !== null,
  }))
  for (const layer of layers) drawUnseen(plot, layer, scene, tones)
  const readable = held
    .unread(view)
    .map((span) => ({ from: span.from, to: Math.min(span.to, Math.max(scene.now, span.from)) }))
  drawUnread(
    plot,
    readable.filter((span) => span.to > span.from),
    view,
    tones,
  )
  ctx.restore()
}

export interface LongOptions {
  width: number
  height: number
  tones: Tones
  window(): [number, number]
  scale(): [number, number]
  timeMarks(from: EpochMs, to: EpochMs, wanted: number): TimeMark[]
  valueMark(value: number): string
  draw(plot: uPlot): void
}

/** The library keeps the scales and draws the axes; its own lines are not used, because it would join several times into one and draw across NaN. */
export function longOptions(wish: LongOptions): uPlot.Options {
  const font = '13px system-ui, sans-serif'
  const { tones } = wish
  const axis = {
    stroke: tones.faint,
    font,
    ticks: { stroke: tones.rule, size: 5 },
    grid: { stroke: tones.rule, width: 1 },
  }
  let marks: TimeMark[] = []
  return {
    width: wish.width,
    height: wish.height,
    ms: 1,
    padding: [8, rightPx, 0, 0],
    legend: { show: false },
    cursor: { y: false, drag: { x: false, y: false, setScale: false }, points: { show: false } },
    select: { show: true, left: 0, top: 0, width: 0, height: 0 },
    scales: { x: { time: false, range: () => wish.window() }, y: { range: () => wish.scale() } },
    axes: [
      {
        ...axis,
        grid: { show: false },
        size: 34,
        splits: (plot, _axis, min, max) => {
          marks = wish.timeMarks(min, max, plot.bbox.width / devicePixelRatio / 68)
          return marks.map((mark) => mark.at)
        },
        values: () => marks.map((mark) => mark.text),
      },
      { ...axis, size: leftPx, space: 34, values: (_plot, values) => values.map(wish.valueMark) },
    ],
    series: [{}, { show: true, paths: () => null, points: { show: false } }],
    hooks: { drawAxes: [wish.draw] },
  }
}
