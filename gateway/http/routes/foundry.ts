/** The foundry as one document, and its parts to read. */
import { z } from 'zod'
import { Fault, Foundry } from '../../../shared/contract/index.ts'
import type { Rooms } from '../rooms.ts'
import type { Api } from './api.ts'

const tags = ['foundry']
const Id = z.object({ id: z.string().max(200) })

function revisionIn(ifMatch: string | undefined): number | undefined {
  if (ifMatch === undefined) return undefined
  const revision = Number(ifMatch.replace(/^(W\/)?"?|"$/g, ''))
  if (!Number.isInteger(revision))
    throw new Fault('bad-request', 'If-Match must hold the revision that ETag gave, for example "7".')
  return revision
}

export function foundryRoutes(api: Api, rooms: Rooms): void {
  const now = () => rooms.foreman.house.rules
  const orMissing = <T>(thing: T | undefined, what: string): T => {
    if (thing === undefined) throw new Fault('not-found', what)
    return thing
  }

  api.get(
    '/api/v1/foundry',
    { schema: { tags, summary: 'The whole set-up; ETag is its revision', response: { 200: Foundry } } },
    async (_request, reply) => {
      reply.header('etag', `"${now().revision}"`)
      return now().foundry
    },
  )

  // The body is checked by the foreman, against the document as it is then: every fault with its path.
  api.put(
    '/api/v1/foundry',
    {
      schema: {
        tags,
        summary: 'Replaces the set-up: all of it is valid or nothing is changed',
        body: z.unknown().describe('A foundry document'),
      },
    },
    async (request, reply) => {
      const { revision, foundry } = await rooms.answer.setUp(
        () => request.body,
        revisionIn(request.headers['if-match']),
      )
      reply.header('etag', `"${revision}"`)
      return foundry
    },
  )

  api.get('/api/v1/stations', { schema: { tags, summary: 'Stations with what is judged of them now' } }, async () => {
    const views = new Map(rooms.foreman.stationViews().map((v) => [v.station, v]))
    return { items: now().foundry.stations.map((station) => ({ ...station, view: views.get(station.id) })) }
  })
  api.get(
    '/api/v1/stations/:id',
    { schema: { tags, summary: 'One station', params: Id } },
    async ({ params: { id } }) => {
      const station = orMissing(
        now().foundry.stations.find((s) => s.id === id),
        `There is no station "${id}".`,
      )
      return { ...station, view: rooms.foreman.viewOf(id) }
    },
  )
}
