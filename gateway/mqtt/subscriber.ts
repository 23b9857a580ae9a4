/** The subscriber: a broker outside hands over what instruments sent it; our PUBACK to it leaves only when the reading is on disk. */
import mqtt, { type IClientOptions, type IPublishPacket, type MqttClient } from 'mqtt'
import { siteTopicRoot, topicRoot } from '../../shared/contract/index.ts'
import type { Clock } from '../../shared/time.ts'
import type { Inlet, InletState, Take } from './inlet.ts'

export interface SubscriberOptions {
  url: string
  clock: Clock
  name?: string
  password?: string
}

/** Readings and presences of our own words, and SenML. */
const ownTopics = `${topicRoot}/+/+`

/** Its session at the broker keeps what comes while we are away; the name must stay the same. */
const clientId = 'cirewatch-gateway'

export class Subscriber implements Inlet {
  readonly #options: SubscriberOptions
  #client: MqttClient | null = null
  #trouble: string | null = 'It has not answered yet.'
  #filters: readonly string[] = []

  constructor(options: SubscriberOptions) {
    this.#options = options
  }

  async open(take: Take): Promise<void> {
    const { url, name, password, clock } = this.#options
    const options: IClientOptions = {
      clientId,
      clean: false,
      reconnectPeriod: 2_000,
      resubscribe: false,
      manualConnect: true,
    }
    if (name !== undefined) options.username = name
    if (password !== undefined) options.password = password
    const client = mqtt.connect(url, options)
    this.#client = client
    // handleMessage, and not the `message` event: only it delays the PUBACK. `done` is not called for what could not be kept.
    client.handleMessage = (packet: IPublishPacket, done) => {
      if (packet.topic.startsWith(siteTopicRoot)) return done()
      const payload = typeof packet.payload === 'string' ? Buffer.from(packet.payload) : packet.payload
      take({ topic: packet.topic, payload, arrivedAt: clock.now(), retained: packet.retain }, () => done())
    }
    client.on('connect', () => {
      this.#subscribe([ownTopics, ...this.#filters])
    })
    client.on('close', () => {
      this.#trouble ??= 'The connection is lost; trying again every two seconds.'
    })
    client.on('error', (error) => {
      this.#trouble = `It cannot be reached: ${error.message || 'no answer'}.`
    })
    client.connect()
  }

  state(): InletState {
    const shown = this.#options.url.replace(/\/\/.*@/, '//')
    return { address: shown, connected: this.#client?.connected ?? false, trouble: this.#trouble }
  }

  alsoTake(filters: readonly string[]): void {
    const gone = this.#filters.filter((filter) => !filters.includes(filter))
    const added = filters.filter((filter) => !this.#filters.includes(filter))
    this.#filters = filters
    if (this.#client?.connected !== true) return
    if (gone.length > 0) this.#client.unsubscribe([...gone])
    if (added.length > 0) this.#subscribe(added)
  }

  #subscribe(filters: readonly string[]): void {
    this.#client?.subscribe([...filters], { qos: 1 }, (error) => {
      this.#trouble = error ? `It refuses the subscription: ${error.message}.` : null
    })
  }

  say(topic: string, payload: string | Uint8Array, retain: boolean): void {
    if (this.#client?.connected)
      this.#client.publish(topic, typeof payload === 'string' ? payload : Buffer.from(payload), { qos: 0, retain })
  }

  async close(): Promise<void> {
    await this.#client?.endAsync(true)
  }
}
