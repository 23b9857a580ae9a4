/** An edge node for the tests: speaks through the independent encoder, keeps its own numbers, and can be asked for its birth. */
import { createRequire } from 'node:module'
import type { UMetric, UPayload } from 'sparkplug-payload/lib/sparkplugbpayload.js'

const { get } = createRequire(import.meta.url)('sparkplug-payload') as typeof import('sparkplug-payload')
const found = get('spBv1.0')
if (!found) throw new Error('the independent encoder does not know spBv1.0')
/** Encodes and decodes as somebody else wrote it. */
export const peer = found

export interface Sent {
  topic: string
  payload: Uint8Array
}

type Value = UMetric['value']
export interface Announced {
  name: string
  type: UMetric['type']
  value: Value
  alias?: number
  properties?: NonNullable<UMetric['properties']>
}

export class Edge {
  readonly group: string
  readonly node: string
  now: number
  bdSeq = 0
  #seq = 0

  constructor(group: string, node: string, now: number) {
    this.group = group
    this.node = node
    this.now = now
  }

  #send(type: string, device: string | null, payload: UPayload): Sent {
    const end = device === null ? '' : `/${device}`
    return { topic: `spBv1.0/${this.group}/${type}/${this.node}${end}`, payload: peer.encodePayload(payload) }
  }
  #numbered(type: string, device: string | null, metrics: UMetric[]): Sent {
    const sent = this.#send(type, device, { timestamp: this.now, seq: this.#seq, metrics })
    this.#seq = (this.#seq + 1) % 256
    return sent
  }
  #announce(announced: readonly Announced[]): UMetric[] {
    return announced.map((one) => ({ timestamp: this.now, ...one }) as UMetric)
  }

  birth(announced: readonly Announced[] = []): Sent {
    this.#seq = 0
    return this.#numbered('NBIRTH', null, [
      { name: 'bdSeq', type: 'Int64', value: this.bdSeq },
      { name: 'Node Control/Rebirth', type: 'Boolean', value: false },
      ...this.#announce(announced),
    ])
  }
  deviceBirth(device: string, announced: readonly Announced[]): Sent {
    return this.#numbered('DBIRTH', device, this.#announce(announced))
  }
  /** Data, by alias where it is a number and by name where it is a text. */
  data(device: string | null, metrics: readonly (Omit<UMetric, 'name'> & { is: number | string })[]): Sent {
    return this.#numbered(
      device === null ? 'NDATA' : 'DDATA',
      device,
      metrics.map(({ is, ...rest }) => ({
        timestamp: this.now,
        ...rest,
        ...(typeof is === 'number' ? { alias: is } : { name: is }),
      })),
    )
  }
  deviceDeath(device: string): Sent {
    return this.#numbered('DDEATH', device, [])
  }
  /** The will that a broker publishes for it. */
  death(bdSeq = this.bdSeq): Sent {
    return this.#send('NDEATH', null, {
      timestamp: this.now,
      metrics: [{ name: 'bdSeq', type: 'Int64', value: bdSeq }],
    })
  }
}
