/** Pots over HTTP: what the judge expects of their wax, what people did to it, and how much cold wax brings it down. */
import { z } from 'zod'
import { Fault } from '../../../shared/contract/index.ts'
import { coldWaxKg, plainWax } from '../../../shared/physics/cooling.ts'
import type { Rooms } from '../rooms.ts'
import { type Api, By } from './api.ts'

const tags = ['pots']
const Id = z.object({ id: z.string().max(200) })
const Body = z.object({ by: By }).default({ by: 'somebody' })

export function potRoutes(api: Api, rooms: Rooms): void {
  const { answer, foreman } = rooms

  api.get('/api/v1/pots', { schema: { tags, summary: 'What is expected of the wax in every pot' } }, async () => ({
    items: foreman.stationViews().flatMap(({ station, pot }) => (pot ? [{ station, ...pot }] : [])),
  }))

  api.post(
    '/api/v1/pots/:id/stirred',
    { schema: { tags, summary: 'Somebody stirred it', params: Id, body: Body } },
    async ({ params: { id }, body: { by } }) => {
      await answer.potDeed(id, 'stirred', by)
      return foreman.viewOf(id)?.pot
    },
  )
  api.post(
    '/api/v1/pots/:id/new-wax',
    { schema: { tags, summary: 'A new batch of wax is in it: its hours count from here', params: Id, body: Body } },
    async ({ params: { id }, body: { by } }) => {
      await answer.potDeed(id, 'new-wax', by)
      return foreman.viewOf(id)?.pot
    },
  )

  api.get(
    '/api/v1/pots/:id/cold-wax',
    {
      schema: {
        tags,
        summary: 'Kilograms of cold wax that bring the pot down to a temperature',
        params: Id,
        querystring: z.object({ targetC: z.coerce.number(), coldC: z.coerce.number().default(20) }),
      },
    },
    async ({ params: { id }, query: { targetC, coldC } }) => {
      const view = foreman.viewOf(id)?.pot
      const rules = foreman.house.rules.stations[foreman.house.rules.stationOf.get(id) ?? -1]?.pot
      if (!view || !rules) throw new Fault('not-found', `There is no pot "${id}".`)
      const { waxKg, congealing } = rules.facts
      if (waxKg === null) throw new Fault('not-valid', `Nobody has said how much wax "${id}" holds (\`pot.waxKg\`).`)
      if (view.waxC === null) throw new Fault('not-valid', `The wax in "${id}" cannot be seen now.`)
      const kg = coldWaxKg(plainWax(congealing), waxKg, view.waxC, targetC, coldC)
      if (kg === null)
        throw new Fault(
          'not-valid',
          `Cold wax does not bring it from ${view.waxC.toFixed(1)} °C to ${targetC} °C: the target must lie below the wax and above where it congeals.`,
        )
      // Of a full pot, as it was typed; latent heat and heat capacity are those of a paraffin blend.
      return { kg, fromC: view.waxC, targetC, coldC, waxKg, assumes: 'a full pot, a paraffin blend, no loss meanwhile' }
    },
  )
}
