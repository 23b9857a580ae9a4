/** Exports: all readings of some series over a span, as one file that streams. */
import { Readable } from 'node:stream'
import { z } from 'zod'
import { exportSeriesMax, Fault } from '../../../shared/contract/index.ts'
import { lineForms, lineTypes } from '../../record/readings.ts'
import type { Rooms } from '../rooms.ts'
import { type Api, When } from './api.ts'
import { lineSeriesOf, linesOfSeries } from './series.ts'

const Name = z.string().min(1).max(200)
const Query = z.object({
  series: z.preprocess((said) => (said === undefined ? [] : [said].flat()), z.array(Name).max(exportSeriesMax)),
  from: When.optional(),
  to: When.optional(),
  as: z.enum(lineForms).default('csv'),
})

/** A name for the file that says which days are in it; a colon is no letter of a file's name everywhere. */
function fileName(series: readonly string[], from: number | undefined, to: number, form: string): string {
  const what = series.length === 1 ? (series[0] as string).replace(/[^A-Za-z0-9._-]/g, '-') : `${series.length}-series`
  const day = (at: number) => new Date(at).toISOString().slice(0, 10)
  return `cirewatch-${what}${from === undefined ? '' : `-${day(from)}`}-${day(to)}.${form}`
}

export function exportRoutes(api: Api, rooms: Rooms): void {
  api.get(
    '/api/v1/exports',
    {
      schema: {
        tags: ['series'],
        summary:
          'All readings of the named series (series=…&series=…) as they were sent, not corrected, one after another, as CSV or JSON lines',
        querystring: Query,
      },
    },
    async ({ query }, reply) => {
      if (query.series.length === 0)
        throw new Fault('bad-request', 'An export needs the series that it is to hold: series=….')
      const to = query.to ?? rooms.clock.now() + 1
      if (query.from !== undefined && to <= query.from)
        throw new Fault('bad-request', 'An export needs `from` before `to`.')
      const all = [...new Set(query.series)].map((series) => lineSeriesOf(rooms, series))
      const lines = linesOfSeries(rooms, all, { from: query.from ?? 0, to }, query.as, true)
      return reply
        .type(lineTypes[query.as])
        .header('content-disposition', `attachment; filename="${fileName(query.series, query.from, to, query.as)}"`)
        .send(Readable.from(lines))
    },
  )
}
