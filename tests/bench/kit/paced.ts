/** A flood at a given pace from a process of its own: connections that stay open, and of each reading how long its PUBACK took. */
import { once } from 'node:events'
import { connect, type Socket } from 'node:net'
import { setTimeout as pause } from 'node:timers/promises'
import { connectPacket, readingPacket, seriesCount } from './packets.ts'

/** Where each series stands, and what is to be sent. Readings are made from it one after another, series by series. */
export interface PacedOrder {
  port: number
  readings: number
  perSecond: number
  /** measuredAt of the first reading of each series, and the step between two. */
  from: number
  stepMs: number
  /** One in so many comes late: it lies `lateMs` further back, between two others. */
  lateEvery?: number
  lateMs?: number
}

export interface PacedDone {
  count: number
  seconds: number
  /** From the moment a reading was due until its PUBACK was here, ms. */
  latencies: number[]
}

const connections = 16
/** Bytes of a PUBACK (MQTT 3.1.1, 3.4). */
const pubackBytes = 4
const connackBytes = 4
/** Written in handfuls: one every few milliseconds, as a network brings them. */
const handfulMs = 2

interface Line {
  socket: Socket
  /** When the readings that wait for their PUBACK were due; a broker acknowledges in order. */
  waiting: number[]
  acknowledged: number
  bytes: number
  nextId: number
}

const lines = new Map<number, Line[]>()

async function linesTo(port: number): Promise<Line[]> {
  const open = lines.get(port) ?? []
  for (let i = open.length; i < connections; i++) {
    const socket = connect({ port, host: '127.0.0.1', noDelay: true })
    await once(socket, 'connect')
    socket.write(connectPacket(`paced-${i}`))
    for (let bytes = 0; bytes < connackBytes; ) bytes += ((await once(socket, 'data')) as [Buffer])[0].length
    open.push({ socket, waiting: [], acknowledged: 0, bytes: 0, nextId: 0 })
  }
  lines.set(port, open)
  return open
}

/** Late ones lie on odd half steps, so that no two readings are of one instant. */
function instantOf({ from, stepMs, lateEvery, lateMs = 0 }: PacedOrder, nth: number, count: number): number {
  const onTime = from + nth * stepMs
  return lateEvery !== undefined && count % lateEvery === 0 ? onTime - lateMs + Math.floor(stepMs / 2) : onTime
}

async function flood(order: PacedOrder): Promise<PacedDone> {
  const all = await linesTo(order.port)
  const latencies: number[] = []
  let acknowledged = 0
  let wake: () => void = () => {}
  for (const line of all) {
    line.socket.removeAllListeners('data')
    line.socket.on('data', (data) => {
      const now = performance.now()
      line.bytes += data.length
      for (; line.bytes >= pubackBytes; line.bytes -= pubackBytes) {
        latencies.push(now - (line.waiting[line.acknowledged++] as number))
        acknowledged++
      }
      if (acknowledged === order.readings) wake()
    })
  }
  const begun = performance.now()
  for (let sent = 0; sent < order.readings; ) {
    const due = Math.min(order.readings, Math.floor(((performance.now() - begun) * order.perSecond) / 1_000))
    const packets = new Map<Line, Buffer[]>()
    for (; sent < due; sent++) {
      const [series, nth] = [sent % seriesCount, Math.floor(sent / seriesCount)]
      const line = all[series % connections] as Line
      line.nextId = (line.nextId % 65_535) + 1
      line.waiting.push(begun + (sent * 1_000) / order.perSecond)
      const packet = readingPacket(series, instantOf(order, nth, sent), nth, line.nextId)
      packets.set(line, [...(packets.get(line) ?? []), packet])
    }
    for (const [line, some] of packets) line.socket.write(Buffer.concat(some))
    await pause(handfulMs)
  }
  if (acknowledged < order.readings)
    await new Promise<void>((resolve) => {
      wake = resolve
    })
  for (const line of all) Object.assign(line, { waiting: [], acknowledged: 0 })
  return { count: order.readings, seconds: (performance.now() - begun) / 1_000, latencies }
}

process.on('message', (order: PacedOrder) => {
  flood(order).then(
    (done) => process.send?.(done),
    (error: unknown) => {
      throw error
    },
  )
})
