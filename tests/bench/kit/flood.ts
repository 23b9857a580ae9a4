/** A flood from a process of its own: so many readings over so many connections, each with at most a window of them unacknowledged. */
import { once } from 'node:events'
import { connect, type Socket } from 'node:net'
import { connectPacket, readingPacket, seriesCount } from './packets.ts'

/** What the parent asks for. */
export interface FloodOrder {
  port: number
  readings: number
  /** measuredAt of the first reading of each series, and the step between two. */
  from: number
  stepMs: number
}

const connections = 16
const window = 1_000
/** Bytes of a PUBACK (MQTT 3.1.1, 3.4): fixed header and packet identifier. */
const pubackBytes = 4
const connackBytes = 4

interface Line {
  socket: Socket
  packets: Buffer[]
}

async function open(port: number, name: string): Promise<Socket> {
  const socket = connect({ port, host: '127.0.0.1', noDelay: true })
  await once(socket, 'connect')
  socket.write(connectPacket(name))
  let bytes = 0
  while (bytes < connackBytes) bytes += ((await once(socket, 'data')) as [Buffer])[0].length
  return socket
}

/** All packets of one connection, joined in pieces of the half window: what is written at once is acknowledged at once. */
function packetsFor(order: FloodOrder, line: number): Buffer[] {
  const mine = Array.from({ length: seriesCount / connections }, (_, i) => line * (seriesCount / connections) + i)
  const each = Math.floor(order.readings / seriesCount)
  const packets: Buffer[] = []
  let id = 0
  for (let n = 0; n < each; n++)
    for (const series of mine) {
      id = (id % 65_535) + 1
      packets.push(readingPacket(series, order.from + n * order.stepMs, n, id))
    }
  return packets
}

/** Resolves when every packet is acknowledged. */
function send({ socket, packets }: Line): Promise<void> {
  return new Promise((resolve, reject) => {
    let sent = 0
    let acknowledgedBytes = 0
    const more = () => {
      const until = Math.min(packets.length, acknowledgedBytes / pubackBytes + window)
      if (until - sent < window / 4 && until < packets.length) return
      if (until > sent) socket.write(Buffer.concat(packets.slice(sent, until)))
      sent = until
    }
    socket.on('data', (data) => {
      acknowledgedBytes += data.length
      if (acknowledgedBytes >= packets.length * pubackBytes) resolve()
      else more()
    })
    socket.on('error', reject)
    socket.on('close', () => reject(new Error('The gateway closed a connection of the flood.')))
    more()
  })
}

async function flood(order: FloodOrder): Promise<void> {
  const lines: Line[] = []
  for (let i = 0; i < connections; i++)
    lines.push({ socket: await open(order.port, `flood-${i}`), packets: packetsFor(order, i) })
  const count = lines.reduce((sum, line) => sum + line.packets.length, 0)
  const begun = process.hrtime.bigint()
  await Promise.all(lines.map(send))
  const seconds = Number(process.hrtime.bigint() - begun) / 1e9
  for (const { socket } of lines) {
    socket.removeAllListeners('close')
    socket.destroy()
  }
  process.send?.({ count, seconds })
}

process.on('message', (order: FloodOrder) => void flood(order))
