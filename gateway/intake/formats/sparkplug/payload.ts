/** The payload of Sparkplug B, as bytes and as our own words for it. Field numbers are those of the open specification 3.0.0, chapter 6. */
import protobuf from 'protobufjs/light.js'
import { payloadBytesMax } from '../../../../shared/contract/index.ts'
import { metricsPerNodeMax } from './limits.ts'

/** A value and the field it came in; all others of the specification (bytes, data sets, templates) are not read. */
export type Carried =
  | { as: 'int' | 'float' | 'double'; value: number }
  | { as: 'long'; value: bigint }
  | { as: 'boolean'; value: boolean }
  | { as: 'string'; value: string }

export interface Property {
  type?: number
  isNull?: boolean
  carried?: Carried
}

export interface Metric {
  name?: string
  alias?: bigint
  /** Milliseconds since 1970. */
  timestamp?: bigint
  datatype?: number
  isHistorical?: boolean
  isNull?: boolean
  properties?: Map<string, Property>
  carried?: Carried
}

export interface SparkplugPayload {
  timestamp?: bigint
  seq?: bigint
  metrics: Metric[]
}

const carriers = ['int', 'long', 'float', 'double', 'boolean', 'string'] as const
const wireTypes = ['uint32', 'uint64', 'float', 'double', 'bool', 'string'] as const

/** The value fields of a metric and of a property stand in one order, from another number on. */
function valueFields(first: number) {
  return Object.fromEntries(carriers.map((name, i) => [name, { type: wireTypes[i] as string, id: first + i }]))
}

const metricsField = 2

const root = protobuf.Root.fromJSON({
  nested: {
    Payload: {
      fields: {
        timestamp: { type: 'uint64', id: 1 },
        metrics: { rule: 'repeated', type: 'Metric', id: metricsField },
        seq: { type: 'uint64', id: 3 },
      },
    },
    Metric: {
      oneofs: { carried: { oneof: [...carriers] } },
      fields: {
        name: { type: 'string', id: 1 },
        alias: { type: 'uint64', id: 2 },
        timestamp: { type: 'uint64', id: 3 },
        datatype: { type: 'uint32', id: 4 },
        isHistorical: { type: 'bool', id: 5 },
        isNull: { type: 'bool', id: 7 },
        properties: { type: 'PropertySet', id: 9 },
        ...valueFields(10),
      },
    },
    PropertySet: {
      fields: {
        keys: { rule: 'repeated', type: 'string', id: 1 },
        values: { rule: 'repeated', type: 'PropertyValue', id: 2 },
      },
    },
    PropertyValue: {
      oneofs: { carried: { oneof: [...carriers] } },
      fields: { type: { type: 'uint32', id: 1 }, isNull: { type: 'bool', id: 2 }, ...valueFields(3) },
    },
  },
})
const Payload = root.lookupType('Payload')

/** What protobufjs makes of it: 64-bit numbers as decimal text, so that none is rounded. */
interface PlainValues {
  int?: number
  long?: string
  float?: number
  double?: number
  boolean?: boolean
  string?: string
}
type PlainProperty = PlainValues & { type?: number; isNull?: boolean }
type PlainMetric = PlainValues & {
  name?: string
  alias?: string
  timestamp?: string
  datatype?: number
  isHistorical?: boolean
  isNull?: boolean
  properties?: { keys?: string[]; values?: PlainProperty[] }
}
interface PlainPayload {
  timestamp?: string
  seq?: string
  metrics?: PlainMetric[]
}

function carriedOf(plain: PlainValues): { carried: Carried } | undefined {
  for (const as of carriers) {
    const value = plain[as]
    if (value !== undefined)
      return { carried: (as === 'long' ? { as, value: BigInt(value as string) } : { as, value }) as Carried }
  }
  return undefined
}

function propertiesOf({
  keys = [],
  values = [],
}: {
  keys?: string[]
  values?: PlainProperty[]
}): Map<string, Property> {
  const properties = new Map<string, Property>()
  for (const [i, key] of keys.entries()) {
    const { type, isNull, ...rest } = values[i] ?? {}
    properties.set(key, {
      ...(type !== undefined && { type }),
      ...(isNull !== undefined && { isNull }),
      ...carriedOf(rest),
    })
  }
  return properties
}

function metricOf(plain: PlainMetric): Metric {
  const { name, alias, timestamp, datatype, isHistorical, isNull, properties } = plain
  return {
    ...(name !== undefined && { name }),
    ...(alias !== undefined && { alias: BigInt(alias) }),
    ...(timestamp !== undefined && { timestamp: BigInt(timestamp) }),
    ...(datatype !== undefined && { datatype }),
    ...(isHistorical !== undefined && { isHistorical }),
    ...(isNull !== undefined && { isNull }),
    ...(properties !== undefined && { properties: propertiesOf(properties) }),
    ...carriedOf(plain),
  }
}

/** Counts before anything is made: two bytes can announce a metric, and a metric takes hundreds in memory. */
function metricsIn(bytes: Uint8Array): number {
  const reader = protobuf.Reader.create(bytes)
  let count = 0
  while (reader.pos < reader.len) {
    const head = reader.uint32()
    if (head >>> 3 === metricsField) count++
    reader.skipType(head & 7)
  }
  return count
}

/** A payload, or one sentence why it is none. Never throws. */
export function decodeSparkplug(bytes: Uint8Array): SparkplugPayload | string {
  if (bytes.byteLength > payloadBytesMax)
    return `The payload has ${bytes.byteLength} bytes; at most ${payloadBytesMax} are read.`
  try {
    const count = metricsIn(bytes)
    if (count > metricsPerNodeMax) return `The payload holds ${count} metrics; at most ${metricsPerNodeMax} are read.`
    const plain = Payload.toObject(Payload.decode(bytes), { longs: String }) as PlainPayload
    const { timestamp, seq, metrics = [] } = plain
    return {
      ...(timestamp !== undefined && { timestamp: BigInt(timestamp) }),
      ...(seq !== undefined && { seq: BigInt(seq) }),
      metrics: metrics.map(metricOf),
    }
  } catch {
    return 'The payload is no Sparkplug B payload: its bytes end too early or are not in that form.'
  }
}

function plainCarried(carried: Carried | undefined): PlainValues {
  if (carried === undefined) return {}
  return carried.as === 'long' ? { long: String(carried.value) } : { [carried.as]: carried.value }
}

function plainProperties(properties: Map<string, Property>): { keys: string[]; values: PlainProperty[] } {
  const values = [...properties.values()].map(({ carried, ...rest }) => ({ ...rest, ...plainCarried(carried) }))
  return { keys: [...properties.keys()], values }
}

function plainMetric({ carried, alias, timestamp, properties, ...rest }: Metric): PlainMetric {
  return {
    ...rest,
    ...(alias !== undefined && { alias: String(alias) }),
    ...(timestamp !== undefined && { timestamp: String(timestamp) }),
    ...(properties !== undefined && { properties: plainProperties(properties) }),
    ...plainCarried(carried),
  }
}

/** The inverse of `decodeSparkplug`. */
export function encodeSparkplug({ timestamp, seq, metrics }: SparkplugPayload): Uint8Array {
  const plain: PlainPayload = {
    ...(timestamp !== undefined && { timestamp: String(timestamp) }),
    ...(seq !== undefined && { seq: String(seq) }),
    metrics: metrics.map(plainMetric),
  }
  return Payload.encode(Payload.fromObject(plain)).finish()
}
