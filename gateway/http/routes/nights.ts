/** Nights: the review of one, and the calendar of many. */
import { z } from 'zod'
import type { NightReview } from '../../../shared/contract/index.ts'
import { nightCsv } from '../../record/night/night-csv.ts'
import { nightReview } from '../../record/night/review.ts'
import type { Rooms } from '../rooms.ts'
import { type Api, When } from './api.ts'
import { calendar, sumUpYear } from './night-calendar.ts'
import { materialOf } from './night-material.ts'

const tags = ['nights']
/** So long after the doors opened: whoever waits for the floor comes first. */
const sumUpAfterMs = 20_000

const DateText = z
  .string()
  .regex(/^(\d{4}-\d{2}-\d{2}|last)$/, 'must be the date on which the night began, such as 2026-03-04, or `last`')

/** The review of the night that began on this local date, or of the last one. */
export async function reviewOf(rooms: Rooms, date: string): Promise<NightReview> {
  return nightReview(await materialOf(rooms, date))
}

export function nightRoutes(api: Api, rooms: Rooms): void {
  api.get(
    '/api/v1/nights/:date',
    {
      schema: {
        tags,
        summary:
          'The review of the night that began on this local date; `last` is the newest that has come to its dusk',
        params: z.object({ date: DateText }),
      },
    },
    async ({ params: { date } }) => reviewOf(rooms, date),
  )
  api.get(
    '/api/v1/nights/:date/csv',
    {
      schema: {
        tags,
        summary: 'The same as a table: one line for each happening',
        params: z.object({ date: DateText }),
      },
    },
    async ({ params: { date } }, reply) =>
      reply.type('text/csv; charset=utf-8').send(nightCsv(await reviewOf(rooms, date))),
  )
  api.get(
    '/api/v1/nights',
    {
      schema: {
        tags,
        summary: 'A calendar of nights from sums, newest first',
        querystring: z.object({ from: When, to: When }),
      },
    },
    async ({ query: { from, to } }) => calendar(rooms, from, to),
  )

  let callOff = () => {}
  api.addHook('onListen', async () => {
    callOff = rooms.clock.after(sumUpAfterMs, () => {
      sumUpYear(rooms).catch((error: unknown) => rooms.log.debug({ error }, 'The year of nights was not summed up.'))
    })
  })
  api.addHook('onClose', async () => callOff())
}
