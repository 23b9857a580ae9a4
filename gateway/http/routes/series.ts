/** Series: which there are, and every stored reading as a stream. */
import { Readable } from 'node:stream'
import { z } from 'zod'
import { Fault, splitSeriesId, unitOf } from '../../../shared/contract/index.ts'
import {
  headOfLines,
  lateMsDefault,
  type LineForm,
  type LineSeries,
  lineTypes,
  readingLines,
} from '../../record/readings.ts'
import type { Rooms } from '../rooms.ts'
import { type Api, When } from './api.ts'

const tags = ['series']
const Id = z.object({ id: z.string().max(200) })

export function rulesOf(rooms: Rooms, series: string) {
  const { seriesAt, stations } = rooms.foreman.house.rules
  const at = seriesAt.get(series)
  return at ? stations[at.station]?.series[at.series] : undefined
}

export function unitOfSeries(series: string): string {
  const id = splitSeriesId(series)
  if (!id) throw new Fault('not-found', `"${series}" is no series; one looks like w1-mid.temperature.`)
  return unitOf[id.quantity]
}

/** What the lines of a series must know of it. */
export function lineSeriesOf(rooms: Rooms, series: string): LineSeries {
  unitOfSeries(series)
  return { series, lateMs: rulesOf(rooms, series)?.backlogMs ?? lateMsDefault }
}

/** The stored readings of these series, one after another, as text that comes as fast as it is taken. */
export async function* linesOfSeries(
  rooms: Rooms,
  all: readonly LineSeries[],
  span: { from: number; to: number },
  form: LineForm,
  named: boolean,
): AsyncIterable<string> {
  yield headOfLines(form, named)
  for (const of of all)
    for await (const piece of rooms.store.scan(of.series, span.from, span.to))
      yield readingLines(piece, of, form, named)
}

export function seriesRoutes(api: Api, rooms: Rooms): void {
  const now = () => rooms.clock.now()

  api.get('/api/v1/series', { schema: { tags, summary: 'Every series that ever spoke' } }, async () => ({
    items: (await rooms.store.summaries()).map(({ series, first, newest }) => ({
      series,
      unit: unitOfSeries(series),
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
        summary:
          'Stored readings as they were sent, not corrected by calibration or infrared setting, as JSON lines or (Accept: text/csv) as CSV',
        params: Id,
        querystring: Span,
      },
    },
    async ({ params: { id }, query, headers }, reply) => {
      const form: LineForm = (headers.accept ?? '').includes('text/csv') ? 'csv' : 'jsonl'
      const span = { from: query.from ?? 0, to: query.to ?? now() + 1 }
      const lines = linesOfSeries(rooms, [lineSeriesOf(rooms, id)], span, form, false)
      return reply.type(lineTypes[form]).send(Readable.from(lines))
    },
  )
}
