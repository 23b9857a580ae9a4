/** Alarms that are not normal, the one act they ask for, and the findings of the past. */
import { z } from 'zod'
import type { Rooms } from '../rooms.ts'
import { type Api, By, Limit, When } from './api.ts'

const tags = ['alarms']

export function alarmRoutes(api: Api, rooms: Rooms): void {
  api.get(
    '/api/v1/alarms',
    { schema: { tags, summary: 'Alarms that are not normal (IEC 62682 states)' } },
    async () => ({ items: rooms.foreman.alarms() }),
  )

  api.post(
    '/api/v1/alarms/:id/acknowledge',
    {
      schema: {
        tags,
        summary: 'I have seen it',
        params: z.object({ id: z.string().max(400) }),
        body: z.object({ by: By }),
      },
    },
    async ({ params: { id }, body: { by } }) => rooms.answer.acknowledge(id, by),
  )

  const Filter = z.object({ station: z.string().optional(), from: When.optional(), to: When.optional(), limit: Limit })
  api.get(
    '/api/v1/findings',
    { schema: { tags, summary: 'Findings, newest first', querystring: Filter } },
    async ({ query }) => {
      await rooms.foreman.keep(false)
      const filter: { station?: string; from?: number; to?: number; limit: number } = { limit: query.limit }
      if (query.station !== undefined) filter.station = query.station
      if (query.from !== undefined) filter.from = query.from
      if (query.to !== undefined) filter.to = query.to
      return { items: await rooms.store.findings(filter) }
    },
  )
}
