/** Messages that could not be read, with the reason: nothing that came is lost. */
import { z } from 'zod'
import type { Unreadable } from '../../../shared/contract/index.ts'
import type { Rooms } from '../rooms.ts'
import { type Api, Limit } from './api.ts'

export function unreadableRoutes(api: Api, rooms: Rooms): void {
  const Page = z.object({ limit: Limit, before: z.coerce.number().int().min(1).optional() })
  api.get(
    '/api/v1/unreadable',
    { schema: { tags: ['unreadable'], summary: 'Unreadable messages, newest first', querystring: Page } },
    async ({ query }) => {
      const entries = await rooms.store.newest('unreadable', query.limit, query.before)
      const items = entries.map(
        ({ seq, at, topic, reason, bytes, payload }): Unreadable => ({ seq, at, topic, reason, bytes, payload }),
      )
      return { total: rooms.foreman.unreadable, items }
    },
  )
}
