/** Series: every stored reading as a stream, and charts by pixel column. */
import { Readable } from 'node:stream'
import { z } from 'zod'
import {
  type ChartBody,
  chartColumnsMax,
  Fault,
  qualities,
  splitSeriesId,
  unitOf,
} from '../../../shared/contract/index.ts'
import { correct } from '../../../shared/physics/correction.ts'
import { m4 } from '../../../shared/series/decimate.ts'
import type { Rooms } from '../rooms.ts'
import { type Api, When } from './api.ts'

const tags = ['series']
const Id = z.object({ id: z.string().max(200) })
/** For a series nobody has claimed: what a silent instrument is called by default. */
const silenceMsDefault = 30_000
const backlogMsDefault = 25_000

function rulesOf(rooms: Rooms, series: string) {
  const { seriesAt, stations } = rooms.foreman.house.rules
  const at = seriesAt.get(series)
  return at ? stations[at.station]?.series[at.series] : undefined
}

function unit(series: string): string {
  const id = splitSeriesId(series)
  if (!id) throw new Fault('not-found', `"${series}" is no series; one looks like w1-mid.temperature.`)
  return unitOf[id.quantity]
}

const csvHead = 'seq,measured_at,arrived_at,value,unit,quality,late\r\n'

/** RFC 4180 asks for quotes only where a field holds a comma, a quote or a line break; none of ours ever does. */
async function* lines(rooms: Rooms, series: string, from: number, to: number, csv: boolean) {
  const ofUnit = unit(series)
  const backlogMs = rulesOf(rooms, series)?.backlogMs ?? backlogMsDefault
  if (csv) yield csvHead
  for await (const piece of rooms.store.scan(series, from, to)) {
    let text = ''
    for (let i = 0; i < piece.t.length; i++) {
      const [t, arrived] = [piece.t[i] as number, piece.arrivedAt[i] as number]
      const measuredAt = new Date(t).toISOString()
      const arrivedAt = new Date(arrived).toISOString()
      const quality = qualities[piece.quality[i] as number] ?? 'bad'
      const late = arrived - t > backlogMs
      const [seq, value] = [piece.seq[i] as number, piece.v[i] as number]
      text += csv
        ? `${seq},${measuredAt},${arrivedAt},${value},${ofUnit},${quality},${late}\r\n`
        : `${JSON.stringify({ seq, measuredAt, arrivedAt, value, unit: ofUnit, quality, late })}\n`
    }
    yield text
  }
}

export function seriesRoutes(api: Api, rooms: Rooms): void {
  const now = () => rooms.clock.now()

  api.get('/api/v1/series', { schema: { tags, summary: 'Every series that ever spoke' } }, async () => ({
    items: (await rooms.store.summaries()).map(({ series, first, newest }) => ({
      series,
      unit: unit(series),
      first,
      newest,
    })),
  }))

  const Span = z.object({ from: When.optional(), to: When.optional() })
  api.get(
    '/api/v1/series/:id/readings',
    {
      schema: {
        tags,
        summary: 'Stored readings, raw, as JSON lines or (Accept: text/csv) as CSV',
        params: Id,
        querystring: Span,
      },
    },
    async ({ params: { id }, query, headers }, reply) => {
      unit(id)
      const csv = (headers.accept ?? '').includes('text/csv')
      const stream = Readable.from(lines(rooms, id, query.from ?? 0, query.to ?? now() + 1, csv))
      return reply
        .type(csv ? 'text/csv; charset=utf-8; header=present' : 'application/jsonl; charset=utf-8')
        .send(stream)
    },
  )

  const Window = z.object({ from: When, to: When, width: z.coerce.number().int().min(1).max(chartColumnsMax) })
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
    async ({ params: { id }, query: { from, to, width } }): Promise<ChartBody> => {
      unit(id)
      if (to <= from) throw new Fault('bad-request', 'A chart needs `from` before `to`.')
      const rules = rulesOf(rooms, id)
      const silenceMs = rules?.silenceMs ?? silenceMsDefault
      const seq = rooms.store.head()
      const fold = m4(from, to, width, silenceMs)
      for await (const piece of rooms.store.scan(id, from, to)) fold.add(piece)
      const { t, v, readings } = fold.finish()
      const correction = rules?.correction
      // A correction rises everywhere, so the extremes stay the extremes.
      const trueV = correction ? v.map((value) => (value === null ? null : correct(correction, value))) : v
      return { series: id, from, to, columns: width, seq, silenceMs, t, v: trueV, readings }
    },
  )
}
