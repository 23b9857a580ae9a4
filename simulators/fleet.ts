/** All instruments of a scene together: moves the world on, lets every probe that is due speak, and deals with links and clocks. */
import type { WireReading } from '../shared/contract/index.ts'
import type { EpochMs } from '../shared/time.ts'
import { standing } from './faults.ts'
import { type Publisher, publisher } from './publisher.ts'
import { type Chance, chance } from './random.ts'
import { type World, worldStepS } from './scenes/scene.ts'

const stepMs = worldStepS * 1_000

export interface Message {
  instrument: string
  /** True time of the reading; what the message says may differ by the fault of the device's clock. */
  at: EpochMs
  reading: WireReading
}

export interface FleetOptions {
  broker: string
  seed: number
  username?: string
  password?: string
}

/** Moves the world from `from` (exclusive) to `to` (inclusive) and gathers what its instruments say on the way. */
export function gather(world: World, from: EpochMs, to: EpochMs): Message[] {
  const messages: Message[] = []
  for (let at = Math.floor(from / stepMs) * stepMs + stepMs; at <= to; at += stepMs) {
    world.step(at)
    for (const probe of world.probes) {
      if (at % (probe.intervalS * 1_000) !== 0) continue
      const skew = standing(world.faults, 'skewed-clock', probe.id, at)?.byMs ?? 0
      messages.push({ instrument: probe.id, at, reading: { at: at + skew, ...probe.read(at) } })
    }
  }
  return messages
}

export class Fleet {
  private readonly world: World
  private readonly devices: Map<string, Publisher>
  private readonly luck: Chance
  private readonly cut = new Set<string>()

  private constructor(world: World, devices: Map<string, Publisher>, luck: Chance) {
    this.world = world
    this.devices = devices
    this.luck = luck
  }

  static async connect(world: World, { broker, seed, username, password }: FleetOptions): Promise<Fleet> {
    const account = { ...(username === undefined ? {} : { username }), ...(password === undefined ? {} : { password }) }
    const made = await Promise.all(world.probes.map((probe) => publisher({ broker, instrument: probe.id, ...account })))
    return new Fleet(world, new Map(made.map((device) => [device.instrument, device])), chance(seed, 'fleet'))
  }

  /** Publishes what was gathered; resolves when links have been cut or restored as the faults say, not when all is acknowledged. */
  async publish(messages: readonly Message[]): Promise<void> {
    for (const { instrument, at, reading } of messages) {
      const device = this.devices.get(instrument)
      if (device === undefined) continue
      const lost = standing(this.world.faults, 'lost-link', instrument, at)
      await this.mind(device, lost !== undefined)
      if (lost && !lost.keeps) continue
      device.say(reading)
      const twice = standing(this.world.faults, 'duplicates', instrument, at)
      if (twice && this.luck.next() < twice.share) device.repeat()
    }
  }

  private async mind(device: Publisher, lost: boolean): Promise<void> {
    if (lost === this.cut.has(device.instrument)) return
    if (lost) {
      this.cut.add(device.instrument)
      await device.settled()
      await device.cutLink()
      return
    }
    this.cut.delete(device.instrument)
    await device.restoreLink()
  }

  /** Resolves when every message sent has been acknowledged. */
  async settled(): Promise<void> {
    for (const device of this.devices.values()) await device.settled()
  }

  async close(): Promise<void> {
    await Promise.all([...this.devices.values()].map((device) => device.close()))
  }
}
