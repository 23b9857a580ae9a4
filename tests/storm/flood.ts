/** A flood: devices that publish as fast as they may, each reading with an instant of its own, and send again what was not acknowledged. */
import mqtt, { type MqttClient } from 'mqtt'

/** Readings under way at once from one device. */
const windowMax = 400

/** What a device measured at an instant: any reading can be checked from its instant alone. */
export function valueAt(at: number): number {
  return 80 + (at % 997) / 50
}

class Device {
  readonly name: string
  acknowledged = new Set<number>()
  pending = new Set<number>()
  /** Its clock is right when it begins; from then on it counts a millisecond for each reading. */
  #next = Date.now()
  #client: MqttClient | null = null
  sentAgain = 0

  constructor(name: string) {
    this.name = name
  }

  async connect(port: number, onlyRest: boolean): Promise<void> {
    const client = mqtt.connect(`mqtt://127.0.0.1:${port}`, { reconnectPeriod: 0, keepalive: 300, clientId: this.name })
    this.#client = client
    client.on('error', () => {})
    await new Promise<void>((resolve, reject) =>
      client.once('connect', () => resolve()).once('close', () => reject(new Error('no broker'))),
    )
    this.sentAgain += this.pending.size
    for (const at of [...this.pending]) this.#send(client, at)
    if (!onlyRest) while (this.pending.size < windowMax) this.#more(client)
  }

  #more(client: MqttClient): void {
    const at = this.#next++
    this.pending.add(at)
    this.#send(client, at, () => this.#more(client))
  }

  /** The callback comes without an error only after the PUBACK. */
  #send(client: MqttClient, at: number, then: () => void = () => {}): void {
    const payload = `{"at":${at},"celsius":${valueAt(at)}}`
    client.publish(`cirewatch/${this.name}/reading`, payload, { qos: 1 }, (error) => {
      if (error || client !== this.#client) return
      this.pending.delete(at)
      this.acknowledged.add(at)
      then()
    })
  }

  disconnect(): void {
    const client = this.#client
    this.#client = null
    client?.end(true)
  }
}

export class Flood {
  readonly #devices: Device[]
  readonly #port: number

  constructor(devices: number, port: number) {
    this.#devices = Array.from({ length: devices }, (_, i) => new Device(`flood-${i}`))
    this.#port = port
  }

  /** Everybody connects, sends again what is open, and goes on; with `onlyRest` nothing new is measured. */
  async connect({ onlyRest = false } = {}): Promise<void> {
    await Promise.all(this.#devices.map((d) => d.connect(this.#port, onlyRest)))
  }

  async disconnect(): Promise<void> {
    for (const device of this.#devices) device.disconnect()
    // A PUBACK that lies in the socket's buffer no longer counts: the device was gone.
    await new Promise((resolve) => setImmediate(resolve))
  }

  #sum(of: (device: Device) => number): number {
    return this.#devices.reduce((sum, device) => sum + of(device), 0)
  }

  get acknowledged(): number {
    return this.#sum((d) => d.acknowledged.size)
  }
  get pending(): number {
    return this.#sum((d) => d.pending.size)
  }
  get sentAgain(): number {
    return this.#sum((d) => d.sentAgain)
  }

  *acknowledgedKeys(): Generator<{ key: string; at: number }> {
    for (const device of this.#devices)
      for (const at of device.acknowledged) yield { key: `${device.name}.temperature@${at}`, at }
  }
}
