/** Charts by pixel column, one series or many at once, and sums by local periods. Given up as soon as nobody waits for them any more. */
import { setMaxListeners } from 'node:events'
import type { FastifyReply, FastifyRequest } from 'fastify'
import { z } from 'zod'
import {
  type ChartBody,
  chartColumnsMax,
  chartSeriesMax,
  type ChartsHead,
  chartsMedia,
  encodeCharts,
  Fault,
  periodsMax,
  type SumsBody,
  type SumsBy,
  sumsBy,
} from '../../../shared/contract/index.ts'
import type { ChartAsk, ChartColumns, SumsAsk } from '../../store/store.ts'
import { periodEdges } from '../../zone.ts'
import type { Rooms } from '../rooms.ts'
import { type Api, When } from './api.ts'
import { rulesOf, unitOfSeries } from './series.ts'

const tags = ['series']
const Id = z.object({ id: z.string().max(200) })
/** For a series nobody has claimed: what a silent instrument is called by default. */
const silenceMsDefault = 30_000

const Width = z.coerce.number().int().min(1).max(chartColumnsMax)
const Window = z.object({ from: When, to: When, width: Width })
type Window = z.infer<typeof Window>

/** Aborted when the one who asked has hung up. */
function hungUp(request: FastifyRequest, reply: FastifyReply): AbortSignal {
  const controller = new AbortController()
  // Every chart of the request listens.
  setMaxListeners(chartSeriesMax + 1, controller.signal)
  reply.raw.once('close', () => {
    if (!reply.raw.writableEnded) controller.abort(new Fault('bad-request', 'The one who asked has hung up.'))
  })
  if (request.raw.destroyed) controller.abort(new Fault('bad-request', 'The one who asked has hung up.'))
  return controller.signal
}

function silenceOf(rooms: Rooms, series: string): number {
  return rulesOf(rooms, series)?.silenceMs ?? silenceMsDefault
}

async function chartOf(
  rooms: Rooms,
  series: string,
  { from, to, width }: Window,
  signal: AbortSignal,
): Promise<ChartColumns> {
  unitOfSeries(series)
  if (to <= from) throw new Fault('bad-request', 'A chart needs `from` before `to`.')
  const ask: ChartAsk = { series, from, to, columns: width, silenceMs: silenceOf(rooms, series) }
  const interpretation = rulesOf(rooms, series)?.interpretation
  if (interpretation) ask.interpretation = interpretation
  return rooms.store.chart(ask, signal)
}

function body(rooms: Rooms, series: string, window: Window, seq: number, { t, v, readings }: ChartColumns): ChartBody {
  const holes = Array.from(v, (value) => (Number.isNaN(value) ? null : value))
  const silenceMs = silenceOf(rooms, series)
  return {
    series,
    from: window.from,
    to: window.to,
    columns: window.width,
    seq,
    silenceMs,
    t: [...t],
    v: holes,
    readings,
  }
}

export function chartRoutes(api: Api, rooms: Rooms): void {
  api.get(
    '/api/v1/series/:id/chart',
    {
      schema: {
        tags,
        summary: 'First, lowest, highest and last of each pixel column; holes kept',
        params: Id,
        querystring: Window,
      },
    },
    async (request, reply): Promise<ChartBody> => {
      const { params, query } = request
      const seq = rooms.store.head()
      return body(rooms, params.id, query, seq, await chartOf(rooms, params.id, query, hungUp(request, reply)))
    },
  )

  const Many = Window.extend({
    series: z
      .union(
        [z.string(), z.array(z.string()).max(chartSeriesMax)],
        `must name a series, or up to ${chartSeriesMax} of them by being there several times`,
      )
      .transform((one) => [one].flat()),
  })
  api.get(
    '/api/v1/charts',
    {
      schema: {
        tags,
        summary: `Charts of many series over one span; with Accept: ${chartsMedia} as numbers instead of JSON`,
        querystring: Many,
      },
    },
    async (request, reply) => {
      const { query } = request
      const seq = rooms.store.head()
      const signal = hungUp(request, reply)
      const all = await Promise.all(query.series.map((series) => chartOf(rooms, series, query, signal)))
      if (!(request.headers.accept ?? '').includes(chartsMedia))
        return { items: all.map((columns, i) => body(rooms, query.series[i] as string, query, seq, columns)) }
      const charts = all.map(({ t, readings }, i) => {
        const series = query.series[i] as string
        return { series, silenceMs: silenceOf(rooms, series), readings, points: t.length }
      })
      const head: ChartsHead = { from: query.from, to: query.to, columns: query.width, seq, charts }
      return reply.type(chartsMedia).send(Buffer.from(encodeCharts(head, all).buffer))
    },
  )

  const Limit = z.coerce.number().optional()
  const Periods = z.object({ from: When, to: When, by: z.enum(sumsBy).default('span'), low: Limit, high: Limit })
  api.get(
    '/api/v1/series/:id/sums',
    {
      schema: {
        tags,
        summary:
          'Mean, extremes, time seen and the longest hole of the span, or of each whole local hour, day, night, month or year that it touches',
        params: Id,
        querystring: Periods,
      },
    },
    async (request, reply): Promise<SumsBody> => {
      const { id } = request.params
      const { from, to, by, low, high } = request.query
      const unit = unitOfSeries(id)
      if (to <= from) throw new Fault('bad-request', 'Sums need `from` before `to`.')
      const { timeZone } = rooms.foreman.house.rules.foundry.site
      const ask: SumsAsk = { series: id, edges: edgesOf(timeZone, by, from, to), silenceMs: silenceOf(rooms, id) }
      const interpretation = rulesOf(rooms, id)?.interpretation
      if (interpretation) ask.interpretation = interpretation
      const body: SumsBody = { series: id, unit, by, timeZone, items: [] }
      if (low !== undefined || high !== undefined) {
        ask.band = { from: low ?? null, to: high ?? null }
        body.band = { ...(low !== undefined && { low }), ...(high !== undefined && { high }) }
      }
      body.items = await rooms.store.sums(ask, hungUp(request, reply))
      return body
    },
  )
}

function edgesOf(timeZone: string, by: SumsBy, from: number, to: number): number[] {
  if (by === 'span') return [from, to]
  try {
    return periodEdges(timeZone, by, from, to, periodsMax)
  } catch (error) {
    if (error instanceof RangeError) throw new Fault('bad-request', `${error.message} Ask for fewer at once.`)
    throw error
  }
}
