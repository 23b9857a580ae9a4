/** The live connection: a welcome at seq n, then everything from n + 1; resume with `?after=`. */
import { z } from 'zod'
import { Fault, listenersMax } from '../../../shared/contract/index.ts'
import type { Listener } from '../../live/hub.ts'
import type { Rooms } from '../rooms.ts'
import type { Api } from './api.ts'

/** WebSocket close codes (RFC 6455 section 7.4.1, and 1013 *try again later* of the IANA registry). */
const goingAway = 1001
const tryAgainLater = 1013

export function liveRoutes(api: Api, rooms: Rooms): void {
  const Resume = z.object({ after: z.coerce.number().int().min(0).optional() })
  const preHandler = async () => {
    if (rooms.hub.listeners >= listenersMax)
      throw new Fault('too-many', `This gateway serves at most ${listenersMax} screens at once.`)
  }
  api.get(
    '/api/v1/live',
    {
      websocket: true,
      preHandler,
      schema: { tags: ['live'], summary: 'WebSocket: a welcome, then frames', querystring: Resume },
    },
    (socket, request) => {
      const { after } = request.query as z.infer<typeof Resume>
      const listener: Listener = {
        send: (text) => socket.send(text),
        waiting: () => socket.bufferedAmount,
        cut: (reason) => {
          socket.close(reason === 'too slow' ? tryAgainLater : goingAway, reason)
          // One that does not read will not answer a close either.
          if (reason === 'too slow') socket.terminate()
        },
      }
      const leave = rooms.hub.join(listener, after ?? null)
      socket.on('close', leave)
      socket.on('error', leave)
      // It has nothing to say to us.
      socket.on('message', () => socket.close(1008, 'listen only'))
    },
  )
}
