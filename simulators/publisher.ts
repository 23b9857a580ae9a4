/** One instrument on the network: a device that publishes with QoS 1, keeps what it cannot send, and tells it when it can. */
import { connectAsync, type IClientOptions, type MqttClient } from 'mqtt'
import { presenceTopic, readingTopic, type WireReading } from '../shared/contract/index.ts'
import { pause } from './clock.ts'

export interface PublisherOptions {
  broker: string
  instrument: string
  username?: string
  password?: string
}

/** Readings a device has room for; beyond that the oldest are lost. A day at 5 s. Common size of a small flash, no source. */
export const bufferReadingsMax = 17_280
/** Readings in one message of a backlog. */
export const backlogReadingsPerMessage = 100

/** A broker needs this long to see a broken connection; a device that is back sooner meets its own ghost. */
const brokerNoticesMs = 50

export interface Publisher {
  readonly instrument: string
  /** Readings that wait in the device. */
  readonly waiting: number
  /** Sends a reading, or keeps it while there is no link. */
  say(reading: WireReading): void
  /** Sends the same message once more, as a device does that missed the acknowledgement. */
  repeat(): void
  /** Resolves when everything sent has been acknowledged. What waits in the device is not waited for. */
  settled(): Promise<void>
  /** The link breaks without a word, so that the last will speaks. */
  cutLink(): Promise<void>
  /** The link comes back: presence first, then the backlog in order, then what is new. */
  restoreLink(): Promise<void>
  close(): Promise<void>
}

/** The first time a broker that cannot be reached is told about at once; later a device goes on trying. */
function connect(
  { broker, instrument, username, password }: PublisherOptions,
  goOnTrying: boolean,
): Promise<MqttClient> {
  const settings: IClientOptions = {
    protocolVersion: 4,
    clientId: `sim-${instrument}`,
    clean: true,
    reconnectPeriod: 500,
    queueQoSZero: false,
    resubscribe: false,
    will: { topic: presenceTopic(instrument), payload: Buffer.from('{"online":false}'), qos: 1, retain: true },
    ...(username === undefined ? {} : { username }),
    ...(password === undefined ? {} : { password }),
  }
  return connectAsync(broker, settings, goOnTrying)
}

export async function publisher(options: PublisherOptions): Promise<Publisher> {
  const { instrument } = options
  const topic = readingTopic(instrument)
  let backlog: WireReading[] = []
  let last: string | null = null
  /** What has been sent and not acknowledged; nothing for a presence or a repeat. */
  const unanswered = new Set<readonly WireReading[]>()
  const waiters: (() => void)[] = []
  let client: MqttClient | null = await attached(false)

  async function attached(goOnTrying: boolean): Promise<MqttClient> {
    const link = await connect(options, goOnTrying)
    // A broken link is no news to the client: it reconnects by itself, and what had no answer is sent again.
    link.on('error', () => undefined)
    const online = () => {
      const nothing: WireReading[] = []
      unanswered.add(nothing)
      link.publish(presenceTopic(instrument), '{"online":true}', { qos: 1, retain: true }, () => answered(nothing))
    }
    link.on('connect', () => {
      online()
      tellBacklog(link)
    })
    online()
    return link
  }

  function answered(sent: readonly WireReading[]): void {
    unanswered.delete(sent)
    if (unanswered.size > 0) return
    for (const waiter of waiters.splice(0)) waiter()
  }
  const keep = (readings: readonly WireReading[]) => {
    backlog = [...backlog, ...readings].slice(-bufferReadingsMax)
  }
  const send = (link: MqttClient, readings: readonly WireReading[]) => {
    const payload = JSON.stringify(readings.length === 1 ? readings[0] : readings)
    last = payload
    unanswered.add(readings)
    link.publish(topic, payload, { qos: 1 }, (error) => {
      if (error && unanswered.has(readings)) keep(readings)
      answered(readings)
    })
  }

  return {
    instrument,
    get waiting() {
      return backlog.length
    },
    say: (reading) => {
      if (client?.connected) send(client, [reading])
      else keep([reading])
    },
    repeat: () => {
      if (!client?.connected || last === null) return
      const nothing: WireReading[] = []
      unanswered.add(nothing)
      client.publish(topic, last, { qos: 1 }, () => answered(nothing))
    },
    settled: () => (unanswered.size === 0 ? Promise.resolve() : new Promise((resolve) => waiters.push(resolve))),
    cutLink: async () => {
      const link = client
      client = null
      if (link === null) return
      link.stream.destroy()
      await link.endAsync(true)
      // Nobody will answer these any more: they were sent, and are sent once more, for nobody knows whether they came.
      for (const sent of [...unanswered]) {
        keep(sent)
        answered(sent)
      }
      await pause(brokerNoticesMs)
    },
    restoreLink: async () => {
      if (client !== null) return
      client = await attached(true)
      tellBacklog(client)
    },
    close: async () => {
      const link = client
      client = null
      await link?.endAsync()
    },
  }

  function tellBacklog(link: MqttClient): void {
    const all = backlog
    backlog = []
    for (let i = 0; i < all.length; i += backlogReadingsPerMessage)
      send(link, all.slice(i, i + backlogReadingsPerMessage))
  }
}
