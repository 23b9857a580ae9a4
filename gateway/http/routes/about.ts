/** What this gateway is and how instruments reach it: for the first-run page. Nothing secret. */
import { isLoopback } from '../../loopback.ts'
import type { Rooms } from '../rooms.ts'
import type { Api } from './api.ts'

export function aboutRoutes(api: Api, rooms: Rooms): void {
  api.get('/api/v1/about', { schema: { tags: ['health'], summary: 'Version, clock and MQTT address' } }, async () => {
    const inlet = rooms.inlet()
    const [, host = null, port] = /^\w+:\/\/\[?([^\]/]*?)\]?(?::(\d+))?\/?$/.exec(inlet.address) ?? []
    return {
      version: rooms.version,
      clock: { now: rooms.clock.now(), pace: rooms.clock.pace, known: rooms.knowsTime() },
      mqtt: {
        address: inlet.address,
        host,
        port: port === undefined ? null : Number(port),
        loopback: host !== null && isLoopback(host),
        connected: inlet.connected,
        secured: rooms.mqttSecured,
      },
    }
  })
}
