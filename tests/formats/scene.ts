/** A house that listens and a node that speaks, and what was understood as text that a person can compare. */
import type { Understood } from '../../gateway/intake/formats/format.ts'
import { SparkplugHost } from '../../gateway/intake/formats/sparkplug/host.ts'
import { type Announced, Edge, type Sent } from './edge.ts'

export const now = 1_795_000_000_000
export const engUnit = (value: string) => ({ engUnit: { type: 'String' as const, value } })

export const t1: Announced = { name: 'T1', type: 'Double', value: 700, alias: 1, properties: engUnit('°C') }
export const t2: Announced = { name: 'T2', type: 'Float', value: 65.25, alias: 2, properties: engUnit('degF') }

/** A house and a node in it, with the time of both. */
export function scene(group = 'hall', node = 'kiln') {
  const host = new SparkplugHost()
  const edge = new Edge(group, node, now)
  let clock = now
  return {
    host,
    edge,
    pass(ms: number) {
      clock += ms
      edge.now = clock
    },
    take: ({ topic, payload }: Sent, retained = false): Understood => host.take(topic, payload, clock, retained),
    elapse: () => host.elapse(clock),
  }
}

/** Everything read, as text a person can compare: `instrument quantity value at`. */
export function told({ decoded }: Understood): string[] {
  return decoded.flatMap((one) => {
    if (one.is === 'presence') return [`${one.instrument} ${one.online ? 'online' : 'offline'}`]
    if (one.is === 'unreadable') return [one.reason]
    return one.moments.flatMap(({ at, values, fault }) => [
      ...values.map(
        ({ quantity, value, quality, reason }) =>
          `${one.instrument} ${quantity} ${value}${quality === 'good' ? '' : ` ${quality} ${reason ?? ''}`} +${(at ?? 0) - now}`,
      ),
      ...(fault === undefined ? [] : [`${one.instrument} fault +${(at ?? 0) - now}`]),
    ])
  })
}
export const asked = ({ say = [] }: Understood) => say.map(({ topic }) => topic)
