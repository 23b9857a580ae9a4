/** What is kept and how it is kept safe; and a backup when somebody wants one now. */
import type { KeepingBody } from '../../../shared/contract/index.ts'
import type { Rooms } from '../rooms.ts'
import type { Api } from './api.ts'

const tags = ['keeping']

export function keepingRoutes(api: Api, rooms: Rooms): void {
  const told = async (): Promise<KeepingBody> => ({ ...(await rooms.upkeep.told()), mail: rooms.mail() })

  api.get(
    '/api/v1/keeping',
    {
      schema: {
        tags,
        summary: 'What is kept since when, room on the disk, backups, what was let go, the mail of the night',
      },
    },
    told,
  )

  api.post(
    '/api/v1/backups',
    { schema: { tags, summary: 'Make a backup now; it goes on by itself, /api/v1/keeping tells how far it is' } },
    async (_request, reply) => {
      rooms.upkeep.backUpNow()
      return reply.code(202).send(await told())
    },
  )
}
