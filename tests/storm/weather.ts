/** Weather for a whole gateway: what networks, clocks, disks and power do to it, each by its own chance, all from one seed. */
import { assemble, type Gateway } from '../../gateway/assemble.ts'
import { LedClock } from '../../gateway/clock.ts'
import { readConfig } from '../../gateway/config.ts'
import { openLog } from '../../gateway/log.ts'
import type { Inlet, Publish, Take } from '../../gateway/mqtt/inlet.ts'
import type { Store } from '../../gateway/store/store.ts'
import type { EpochMs } from '../../shared/time.ts'
import type { Clock } from '../../shared/time.ts'
import { type Chance, chance } from '../../simulators/random.ts'
import { smallFoundry } from '../helpers/gateway.ts'
import { type RefusingStore, refusingStore } from '../helpers/refusing-store.ts'
import { Ear } from './ear.ts'

/** Each a probability for one message or one second. */
export interface Weather {
  /** A message, or its acknowledgement, is lost. */
  drop: number
  /** A message arrives twice. */
  repeat: number
  /** A device keeps what it has to say for later. */
  delay: number
  /** A device sends what it kept in another order. */
  reorder: number
  /** What a device kept is sent as one list. */
  backlog: number
  /** The gateway's wall clock jumps. */
  clockStep: number
  /** The gateway dies without a word and is started again. */
  crash: number
  /** The disk refuses for some seconds. */
  diskRefusal: number
  /** A listener loses its connection and comes back. */
  lostLine: number
}

export const fair: Weather = {
  drop: 0,
  repeat: 0,
  delay: 0,
  reorder: 0,
  backlog: 0,
  clockStep: 0,
  crash: 0,
  diskRefusal: 0,
  lostLine: 0,
}
export const storm: Weather = {
  drop: 0.15,
  repeat: 0.1,
  delay: 0.2,
  reorder: 0.2,
  backlog: 0.1,
  clockStep: 0.004,
  crash: 0.01,
  diskRefusal: 0.01,
  lostLine: 0.03,
}

const noon: EpochMs = Date.UTC(2026, 2, 1, 12)
const secondMs = 1_000

/** A clock whose wall time may jump while its steady time goes on. */
class SteppedClock implements Clock {
  readonly led: LedClock
  offsetMs: number
  readonly pace = 0
  constructor(at: EpochMs, offsetMs: number) {
    this.led = new LedClock(at)
    this.offsetMs = offsetMs
  }
  now(): EpochMs {
    return this.led.now() + this.offsetMs
  }
  elapsed(): number {
    return this.led.elapsed()
  }
  after(delay: number, run: () => void): () => void {
    return this.led.after(delay, run)
  }
  soon(run: () => void): void {
    this.led.soon(run)
  }
}

/** The seam where a broker would be: hands publishes over, and forgets everything when its gateway dies. */
class StormInlet implements Inlet {
  #take: Take = () => {}
  dead = false
  async open(take: Take): Promise<void> {
    this.#take = take
  }
  send(publish: Publish, acknowledged: () => void): void {
    this.#take(publish, () => {
      if (!this.dead) acknowledged()
    })
  }
  state() {
    return { address: 'storm', connected: true, trouble: null }
  }
  say(): void {}
  alsoTake(): void {}
  async close(): Promise<void> {}
}

export interface Sent {
  instrument: string
  at: EpochMs
  celsius: number
}

/** A device: measures every few seconds whatever the weather, and keeps each reading until it is acknowledged. */
class Device {
  readonly instrument: string
  readonly everyS: number
  #celsius: number
  kept: Sent[] = []
  constructor(instrument: string, everyS: number, celsius: number) {
    this.instrument = instrument
    this.everyS = everyS
    this.#celsius = celsius
  }
  measure(at: EpochMs, random: Chance): void {
    this.#celsius += 2 * random.gauss()
    this.kept.push({ instrument: this.instrument, at, celsius: Math.round(this.#celsius * 100) / 100 })
  }
}

interface Life {
  gateway: Gateway
  clock: SteppedClock
  inlet: StormInlet
  disk: RefusingStore
}

/** One run of bad weather over one store. Afterwards the checkers look at what is left. */
export class Storm {
  readonly acknowledged: Sent[] = []
  readonly ears: Ear[] = []
  readonly happened = { crashes: 0, clockSteps: 0, refusals: 0, lostLines: 0, sent: 0 }
  waitingMost = 0
  readonly store: Store
  readonly #weather: Weather
  readonly #random: Chance
  readonly #devices = [
    new Device('pot-mid', 5, 118),
    new Device('pot-gun', 10, 118),
    new Device('room-air', 30, 22),
    new Device('kiln-air', 10, 890),
    new Device('stranger', 7, 40),
  ]
  #life: Life | null = null
  #t = noon
  #offsetMs = 0
  #fullUntil = 0

  constructor(store: Store, seed: number, weather: Weather) {
    this.store = store
    this.#weather = weather
    this.#random = chance(seed, 'weather')
  }

  get life(): Life {
    if (this.#life === null) throw new Error('The storm has not begun.')
    return this.#life
  }

  #happens(probability: number): boolean {
    return this.#random.next() < probability
  }

  async #start(): Promise<void> {
    const clock = new SteppedClock(this.#t, this.#offsetMs)
    const inlet = new StormInlet()
    // Whatever the one before still wants to write after its death is refused.
    const disk = refusingStore({ ...refusingStore(this.store), close: async () => {} })
    const config = readConfig(['--http', '127.0.0.1:0', '--log', 'silent'], {})
    const build = { version: '0.0.0-storm', builtAt: 0 }
    const gateway = await assemble(config, {
      clock,
      inlet,
      store: disk,
      log: openLog('silent'),
      build,
      dashboard: 'none',
    })
    await gateway.open()
    this.#life = { gateway, clock, inlet, disk }
  }

  async begin(): Promise<void> {
    await this.#start()
    await this.life.gateway.rooms.answer.setUp(() => smallFoundry())
    for (let i = 0; i < 3; i++) this.ears.push(new Ear(this.life.gateway.rooms.hub))
  }

  async #crash(): Promise<void> {
    const { gateway, inlet, disk } = this.life
    this.happened.crashes++
    disk.full = true
    inlet.dead = true
    for (const ear of this.ears) ear.lose()
    await gateway.http.close()
    this.#fullUntil = 0
    await this.#start()
    for (const ear of this.ears) ear.join(this.life.gateway.rooms.hub)
  }

  /** Lets one second pass. */
  async second(): Promise<void> {
    const { weather, happened } = { weather: this.#weather, happened: this.happened }
    this.#t += secondMs
    if (this.#happens(weather.crash)) await this.#crash()
    if (this.#happens(weather.clockStep)) {
      happened.clockSteps++
      this.#offsetMs = Math.round((this.#random.next() - 0.5) * 7_200_000)
      this.life.clock.offsetMs = this.#offsetMs
    }
    if (this.#happens(weather.diskRefusal)) this.#fullUntil = this.#t + 5 * secondMs
    this.life.disk.full = this.#t < this.#fullUntil
    if (this.life.disk.full) happened.refusals++
    for (const ear of this.ears)
      if (this.#happens(weather.lostLine)) {
        happened.lostLines++
        ear.lose()
        ear.join(this.life.gateway.rooms.hub)
      }
    for (const device of this.#devices) this.#speak(device)
    this.waitingMost = Math.max(this.waitingMost, this.life.gateway.rooms.intake().waiting)
    await this.life.clock.led.lead(this.#t, 0, turns)
  }

  #speak(device: Device): void {
    const weather = this.#weather
    if ((this.#t / secondMs) % device.everyS === 0) device.measure(this.#t, this.#random)
    if (device.kept.length === 0 || this.#happens(weather.delay)) return
    const messages = device.kept.slice(0, 20)
    if (this.#happens(weather.reorder)) messages.reverse()
    if (messages.length > 1 && this.#happens(weather.backlog)) this.#send(device, messages)
    else for (const message of messages) this.#send(device, [message])
  }

  #send(device: Device, sent: Sent[]): void {
    this.happened.sent++
    if (this.#happens(this.#weather.drop)) return
    const list = sent.map(({ at, celsius }) => ({ at, celsius }))
    const payload = Buffer.from(JSON.stringify(list.length === 1 ? list[0] : list))
    const isAckLost = this.#happens(this.#weather.drop)
    const publish = (): Publish => ({
      topic: `cirewatch/${device.instrument}/reading`,
      payload,
      arrivedAt: this.life.clock.now(),
      retained: false,
    })
    const acknowledged = () => {
      if (isAckLost) return
      for (const one of sent) {
        if (!device.kept.includes(one)) continue
        device.kept.splice(device.kept.indexOf(one), 1)
        this.acknowledged.push(one)
      }
    }
    this.life.inlet.send(publish(), acknowledged)
    if (this.#happens(this.#weather.repeat)) this.life.inlet.send(publish(), acknowledged)
  }

  /** The weather clears: the disk takes again, every device gets rid of what it kept, and all is judged and kept. */
  async clear(): Promise<void> {
    Object.assign(this.#weather, fair)
    this.#fullUntil = 0
    for (let i = 0; i < 400 && (i < 60 || this.#devices.some((d) => d.kept.length > 0)); i++) await this.second()
    const left = this.#devices.reduce((sum, d) => sum + d.kept.length, 0)
    if (left > 5) throw new Error(`${left} readings are still not acknowledged although the weather is fair.`)
    await this.life.gateway.settled()
    await this.life.gateway.rooms.foreman.keep(true)
  }

  async end(): Promise<void> {
    for (const ear of this.ears) ear.lose()
    await this.life.gateway.close()
  }
}

/** Gives whatever is under way the time to end; a disk that refuses is not waited for. */
async function turns(): Promise<void> {
  for (let i = 0; i < 5; i++) await new Promise((resolve) => setImmediate(resolve))
}
