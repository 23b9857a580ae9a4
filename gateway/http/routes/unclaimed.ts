/** Instruments that publish and nobody has claimed; claiming keeps what came before. */
import { z } from 'zod'
import {
  InstrumentKind,
  Mapping,
  Name,
  NumberUnit,
  Place,
  StationKind,
  ThermocoupleType,
  type UnclaimedBody,
} from '../../../shared/contract/index.ts'
import type { Rooms } from '../rooms.ts'
import { type Api, Limit } from './api.ts'

const tags = ['unclaimed']

const ClaimBody = z.strictObject({
  name: z.string().trim().min(1).max(200),
  kind: InstrumentKind,
  station: Name.optional(),
  newStation: z.strictObject({ id: Name, name: z.string().trim().min(1).max(200), kind: StationKind }).optional(),
  position: z.string().trim().min(1).max(200).optional(),
  intervalS: z.number().min(0.05).max(3_600).optional(),
  place: Place.optional(),
  /** Of the plain numbers that it sends. */
  unit: NumberUnit.optional(),
  thermocouple: ThermocoupleType.optional(),
})

export function unclaimedRoutes(api: Api, rooms: Rooms): void {
  api.get(
    '/api/v1/unclaimed',
    {
      schema: {
        tags,
        summary: 'Who publishes and is not claimed, last heard first',
        querystring: z.object({ limit: Limit }),
      },
    },
    async ({ query }): Promise<UnclaimedBody> => ({
      total: rooms.foreman.strangers.size,
      items: rooms.foreman.strangers.list(query.limit).map((stranger) => {
        const lastPayload = rooms.overheard(stranger.instrument)
        return lastPayload ? { ...stranger, lastPayload } : stranger
      }),
      topics: await rooms.again.topics(rooms.foreman.house.rules.foundry.mappings ?? []),
    }),
  )

  const Who = z.object({ name: z.string().max(200) })
  api.post(
    '/api/v1/unclaimed/:name/claim',
    { schema: { tags, summary: 'Make it an instrument of a station', params: Who, body: ClaimBody } },
    async ({ params: { name }, body }, reply) => {
      const { revision, foundry } = await rooms.answer.claim(name, body)
      const broughtIn = body.unit === undefined ? 0 : await rooms.again.byUnit(name, body.unit)
      reply.header('etag', `"${revision}"`)
      return { instrument: foundry.instruments.find((i) => i.id === name), broughtIn }
    },
  )

  api.post(
    '/api/v1/mappings',
    {
      schema: {
        tags,
        summary: 'Reads a topic of another device from now on, and what is kept of it already',
        body: z.strictObject({ mapping: Mapping }),
      },
    },
    async ({ body: { mapping } }, reply) => {
      const { revision } = await rooms.answer.setUp((now) => ({ ...now, mappings: [...(now.mappings ?? []), mapping] }))
      reply.header('etag', `"${revision}"`)
      return { mapping, broughtIn: await rooms.again.byMapping(mapping) }
    },
  )
}
