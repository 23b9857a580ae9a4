/** The embedded broker: MQTT 3.1.1, a PUBACK only when the reading is on disk. */
import { createHash, timingSafeEqual } from 'node:crypto'
import type { EventEmitter } from 'node:events'
import { createServer, type Server, type Socket } from 'node:net'
import { Aedes, type AuthenticateError, type Client } from 'aedes'
import { packetBytesMax, siteTopicRoot } from '../../shared/contract/index.ts'
import type { Clock } from '../../shared/time.ts'
import type { Inlet, InletState, Take } from './inlet.ts'

export interface BrokerOptions {
  host: string
  port: number
  clock: Clock
  /** Asked of every instrument where given. */
  name?: string
  password?: string
}

/** Packets a client may send behind its CONNECT before the answer. aedes cuts it off past 42, which a quick device passes. */
const queueLimit = 2_000
/** A frozen subscriber may hold the others up this long. */
const drainTimeoutMs = 5_000
/** Deliveries to subscribers under way at once. */
const concurrency = 500
/** Where what a device may not say is put: no subscriber hears it. */
const refusedTopic = '$refused'
/** Bytes of a presence that is remembered for later subscribers. Reason: `{"online":false}` with room to spare; a memory of megabytes is none. */
const retainedBytesMax = 256

interface Parser {
  packet: { length: number }
  _parseLength(): boolean
  emit(event: 'error', error: Error): void
}

/** aedes reads a packet of any length; this refuses one that would not fit before it is collected.
 *  It leans on a private method of mqtt-packet, which is why the version is pinned and a test sends one byte too many. */
function boundPackets(client: Client): void {
  const parser = (client as unknown as { _parser: Parser })._parser
  const parseLength = parser._parseLength
  parser._parseLength = function bounded(this: Parser) {
    const known = parseLength.call(this)
    if (!known || this.packet.length <= packetBytesMax) return known
    this.emit('error', new Error(`a packet of ${this.packet.length} bytes is too large`))
    return false
  }
}

function same(a: string, b: string): boolean {
  const digest = (text: string) => createHash('sha256').update(text).digest()
  return timingSafeEqual(digest(a), digest(b))
}

export class EmbeddedBroker implements Inlet {
  readonly #options: BrokerOptions
  readonly #aedes: Aedes
  readonly #server: Server
  readonly #sockets = new Set<Socket>()
  #take: Take = () => {}
  #port = 0

  constructor(options: BrokerOptions) {
    this.#options = options
    this.#aedes = new Aedes({ queueLimit, concurrency, drainTimeout: drainTimeoutMs })
    this.#server = createServer({ noDelay: true }, (socket) => this.#welcome(socket))
    this.#setRules()
    // Its own bookkeeping may fail for one packet; an error without a listener would end the process.
    ;(this.#aedes as EventEmitter).on('error', () => {})
  }

  #welcome(socket: Socket): void {
    this.#sockets.add(socket)
    socket.on('close', () => this.#sockets.delete(socket))
    boundPackets(this.#aedes.handle(socket) as Client)
  }

  #setRules(): void {
    const { clock, name, password } = this.#options
    this.#aedes.preConnect = (_client, packet, callback) => {
      // No session outlives its connection: an absent subscriber cannot fill the memory.
      packet.clean = true
      callback(null, true)
    }
    this.#aedes.authenticate = (_client, givenName, givenPassword, callback) => {
      if (name === undefined || password === undefined) return callback(null, true)
      const right = same(givenName ?? '', name) && same(givenPassword?.toString() ?? '', password)
      if (right) return callback(null, true)
      // MQTT 3.1.1, table 3.1: return code 4, bad user name or password.
      callback(Object.assign(new Error('name or password is wrong'), { returnCode: 4 }) as AuthenticateError, false)
    }
    this.#aedes.authorizeForward = (_client, packet) => (packet.topic === refusedTopic ? null : packet)
    // Here, and not in `published`: this hook runs before the acknowledgement is written.
    this.#aedes.authorizePublish = (_client, packet, callback) => {
      const publish = {
        topic: packet.topic,
        payload: packet.payload as Uint8Array,
        arrivedAt: clock.now(),
        retained: false,
      }
      // A device may speak neither for the site nor for the broker: it is kept as unreadable, and nobody hears it.
      // ($SYS/…/new/clients would make aedes throw another device off.)
      if (packet.topic.startsWith(siteTopicRoot) || packet.topic.startsWith('$')) packet.topic = refusedTopic
      if (!packet.topic.endsWith('/presence') || packet.payload.length > retainedBytesMax) packet.retain = false
      this.#take(publish, () => callback(null))
    }
  }

  async open(take: Take): Promise<void> {
    this.#take = take
    await this.#aedes.listen()
    const { host, port } = this.#options
    await new Promise<void>((resolve, reject) => {
      this.#server.once('error', reject)
      this.#server.listen(port, host, () => {
        this.#server.off('error', reject)
        this.#server.on('error', () => {})
        resolve()
      })
    })
    const address = this.#server.address()
    this.#port = typeof address === 'object' && address ? address.port : port
  }

  state(): InletState {
    return { address: `mqtt://${this.#options.host}:${this.#port}`, connected: this.#server.listening, trouble: null }
  }

  /** All that is published comes here anyway. */
  alsoTake(): void {}

  say(topic: string, payload: string | Uint8Array, retain: boolean): void {
    this.#aedes.publish({ cmd: 'publish', topic, payload: Buffer.from(payload), retain, qos: 0, dup: false }, () => {})
  }

  async close(): Promise<void> {
    this.#server.close()
    await new Promise<void>((resolve) => {
      this.#aedes.close(resolve)
      for (const socket of this.#sockets) socket.destroy()
    })
  }
}
