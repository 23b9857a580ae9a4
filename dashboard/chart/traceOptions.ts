/** How a trace is drawn: options and hooks for the plotting library, in the colours of the page. */
import type uPlot from 'uplot'
import type { DrawnLimits } from './limits.ts'
import { stretch } from './limits.ts'

export interface Ink {
  line: string
  faint: string
  rule: string
  band: string
  emergency: string
  wax: string
}

export function inkOf(element: Element): Ink {
  const style = getComputedStyle(element)
  const of = (name: string) => style.getPropertyValue(name).trim()
  return {
    line: of('--ink'),
    faint: of('--quiet'),
    rule: of('--rule'),
    band: of('--band'),
    emergency: of('--emergency'),
    wax: of('--wax-line'),
  }
}

/** Lines are told apart by their dashes as well as by their tone. */
export const dashes: readonly (readonly number[])[] = [[], [7, 4], [2, 3], [10, 3, 2, 3], [4, 4], [1, 5]]

export interface TraceWish {
  width: number
  height: number
  labels: readonly string[]
  limits: DrawnLimits
  ink: Ink
  spanMin: number
  window(): [number, number]
  timeMark(at: number, spanMs: number): string
  valueMark(value: number): string
  zone: string
  picked(index: number | null): void
}

/** Limits lie beneath the lines: a band as a wash with its edges, a ceiling as a broken heavy line. */
function drawLimits(wish: TraceWish): (plot: uPlot) => void {
  return (plot) => {
    const { ctx, bbox } = plot
    const y = (value: number) => Math.min(bbox.top + bbox.height, Math.max(bbox.top, plot.valToPos(value, 'y', true)))
    const scaleY = plot.scales.y
    ctx.save()
    const { band, ceiling } = wish.limits
    if (band && scaleY) {
      const top = band.to === null ? bbox.top : y(band.to)
      const bottom = band.from === null ? bbox.top + bbox.height : y(band.from)
      ctx.fillStyle = wish.ink.band
      ctx.fillRect(bbox.left, top, bbox.width, Math.max(0, bottom - top))
    }
    if (ceiling !== null && scaleY?.max !== undefined && scaleY.max !== null && ceiling <= scaleY.max) {
      ctx.strokeStyle = wish.ink.emergency
      ctx.lineWidth = 2 * devicePixelRatio
      ctx.setLineDash([10 * devicePixelRatio, 5 * devicePixelRatio])
      ctx.beginPath()
      ctx.moveTo(bbox.left, y(ceiling))
      ctx.lineTo(bbox.left + bbox.width, y(ceiling))
      ctx.stroke()
    }
    ctx.restore()
  }
}

export function traceOptions(wish: TraceWish, tzDate: (at: number) => Date): uPlot.Options {
  const { ink } = wish
  const font = '13px system-ui, sans-serif'
  const axis = { stroke: ink.faint, font, ticks: { stroke: ink.rule, size: 5 }, grid: { stroke: ink.rule, width: 1 } }
  return {
    width: wish.width,
    height: wish.height,
    ms: 1,
    tzDate,
    legend: { show: false },
    cursor: { y: false, drag: { x: false, y: false }, points: { size: 9 } },
    scales: {
      x: { time: true, range: () => wish.window() },
      y: {
        range: (_plot, min, max) =>
          min === null || max === null ? [0, 1] : stretch(min, max, wish.limits, wish.spanMin),
      },
    },
    axes: [
      {
        ...axis,
        grid: { show: false },
        values: (plot, marks) =>
          marks.map((at) => wish.timeMark(at, (plot.scales.x?.max ?? 0) - (plot.scales.x?.min ?? 0))),
        space: 76,
      },
      { ...axis, values: (_plot, marks) => marks.map((value) => wish.valueMark(value)), size: 56, space: 34 },
    ],
    series: [
      {},
      ...wish.labels.map((label, i) => ({
        label,
        stroke: i === 0 ? ink.line : ink.wax,
        width: i === 0 ? 2 : 1.6,
        dash: [...(dashes[i % dashes.length] ?? [])],
        spanGaps: false,
        points: { show: false },
      })),
    ],
    hooks: {
      drawAxes: [drawLimits(wish)],
      setCursor: [(plot) => wish.picked(plot.cursor.idx ?? null)],
    },
  }
}
