/** Simulated devices against a bare broker: nothing sent is lost, a backlog comes in order, a broken link lets the last will speak. */
import { createServer, type Server } from 'node:net'
import { Aedes } from 'aedes'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { Fault } from '../../simulators/faults.ts'
import { Fleet, gather } from '../../simulators/fleet.ts'
import { flagsOf, numberFlag, UsageFault } from '../../simulators/flags.ts'
import { backlogReadingsPerMessage, publisher } from '../../simulators/publisher.ts'
import type { World } from '../../simulators/scenes/scene.ts'

let broker: Aedes
let server: Server
let url: string
let heard: { topic: string; body: unknown; retain: boolean }[]

beforeEach(async () => {
  broker = await Aedes.createBroker()
  heard = []
  broker.on('publish', (packet) => {
    if (packet.topic.startsWith('cirewatch/'))
      heard.push({ topic: packet.topic, body: JSON.parse(packet.payload.toString()) as unknown, retain: packet.retain })
  })
  server = createServer(broker.handle)
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  const address = server.address()
  url = `mqtt://127.0.0.1:${typeof address === 'object' && address ? address.port : 0}`
})
afterEach(async () => {
  await new Promise<void>((resolve) => broker.close(() => resolve()))
  await new Promise<void>((resolve) => server.close(() => resolve()))
})

const readings = (instrument = 'p1') =>
  heard.filter((h) => h.topic === `cirewatch/${instrument}/reading`).map((h) => h.body)
const until = (what: () => boolean) => expect.poll(what, { timeout: 5_000, interval: 5 }).toBe(true)

describe('a simulated device', () => {
  it('says that it is there, publishes, and knows when all is acknowledged', async () => {
    const device = await publisher({ broker: url, instrument: 'p1' })
    for (let i = 0; i < 20; i++) device.say({ at: 1_000 + i, celsius: i })
    await device.settled()
    expect(readings()).toEqual(Array.from({ length: 20 }, (_, i) => ({ at: 1_000 + i, celsius: i })))
    expect(heard.find((h) => h.topic === 'cirewatch/p1/presence')).toEqual({
      topic: 'cirewatch/p1/presence',
      body: { online: true },
      retain: true,
    })
    await device.close()
  })

  it('lets its last will speak when the link breaks, and tells its backlog in order and in parts when it is back', async () => {
    const device = await publisher({ broker: url, instrument: 'p1' })
    device.say({ at: 0, celsius: 0 })
    await device.settled()
    await device.cutLink()
    await until(() =>
      heard.some((h) => h.topic === 'cirewatch/p1/presence' && (h.body as { online: boolean }).online === false),
    )
    for (let i = 1; i <= 250; i++) device.say({ at: i, celsius: i })
    expect(device.waiting).toBe(250)
    await device.restoreLink()
    device.say({ at: 251, celsius: 251 })
    await device.settled()
    const sizes = readings().map((r) => (Array.isArray(r) ? r.length : 1))
    expect(sizes).toEqual([1, backlogReadingsPerMessage, backlogReadingsPerMessage, 50, 1])
    expect(readings().flat()).toEqual(Array.from({ length: 252 }, (_, i) => ({ at: i, celsius: i })))
    await device.close()
  })

  it('loses nothing that was on its way when the link broke', async () => {
    const device = await publisher({ broker: url, instrument: 'p1' })
    for (let i = 0; i < 50; i++) device.say({ at: i, celsius: i })
    await device.cutLink()
    await device.settled()
    await device.restoreLink()
    await device.settled()
    const instants = new Set(
      readings()
        .flat()
        .map((r) => (r as { at: number }).at),
    )
    expect(instants.size).toBe(50)
    await device.close()
  })

  it('sends the very same message again when it missed the acknowledgement', async () => {
    const device = await publisher({ broker: url, instrument: 'p1' })
    device.say({ at: 5, celsius: 5 })
    device.repeat()
    await device.settled()
    expect(readings()).toEqual([
      { at: 5, celsius: 5 },
      { at: 5, celsius: 5 },
    ])
    await device.close()
  })

  it('says at once that there is no broker', async () => {
    await expect(publisher({ broker: 'mqtt://127.0.0.1:1', instrument: 'p1' })).rejects.toThrow()
  })
})

function oneProbeWorld(faults: Fault[]): World {
  const probe = { id: 'p1', intervalS: 5, live: () => undefined, read: (at: number) => ({ celsius: at / 1_000 }) }
  return { probes: [probe], faults, step: () => undefined, waxC: () => null, pieceG: () => null }
}

async function fleetSays(faults: Fault[], seconds: number): Promise<unknown[]> {
  const world = oneProbeWorld(faults)
  const fleet = await Fleet.connect(world, { broker: url, seed: 1 })
  for (let from = 0; from < seconds * 1_000; from += 10_000) {
    await fleet.publish(gather(world, from, from + 10_000))
    await fleet.settled()
  }
  await fleet.close()
  return readings().flat()
}

describe('a fleet of instruments', () => {
  it('lets each speak at its own interval', async () => {
    const said = await fleetSays([], 60)
    expect(said).toEqual(Array.from({ length: 12 }, (_, i) => ({ at: (i + 1) * 5_000, celsius: (i + 1) * 5 })))
  })

  it('keeps what a device with a battery measured while its link was lost', async () => {
    const said = await fleetSays([{ fault: 'lost-link', instrument: 'p1', keeps: true, from: 20_000, to: 40_000 }], 60)
    expect(said.map((r) => (r as { at: number }).at)).toEqual(Array.from({ length: 12 }, (_, i) => (i + 1) * 5_000))
  })

  it('leaves the gap of a device without one', async () => {
    const said = await fleetSays([{ fault: 'lost-link', instrument: 'p1', keeps: false, from: 20_000, to: 40_000 }], 60)
    expect(said.map((r) => (r as { at: number }).at)).toEqual([5, 10, 15, 40, 45, 50, 55, 60].map((s) => s * 1_000))
  })

  it('dates by the device’s own clock, right or wrong', async () => {
    const said = await fleetSays([{ fault: 'skewed-clock', instrument: 'p1', byMs: 7_200_000, from: 0, to: 1e12 }], 10)
    expect(said).toEqual([
      { at: 7_205_000, celsius: 5 },
      { at: 7_210_000, celsius: 10 },
    ])
  })

  it('repeats messages where that is its fault', async () => {
    const said = await fleetSays([{ fault: 'duplicates', instrument: 'p1', share: 1, from: 0, to: 1e12 }], 10)
    expect(said).toHaveLength(4)
  })
})

describe('the command line of the simulators', () => {
  it('refuses what it does not know in one sentence', () => {
    expect(() => flagsOf(['--pase', '3'], ['pace'])).toThrow(UsageFault)
    expect(() => flagsOf(['--pace'], ['pace'])).toThrow('--pace needs a value.')
    expect(() => numberFlag('pace', 'fast', 1, 0.1, 100)).toThrow(
      '--pace must be a number from 0.1 to 100; it is fast.',
    )
    expect(flagsOf(['--pace=60', '--seed', '4'], ['pace', 'seed'])).toEqual({ pace: '60', seed: '4' })
  })
})
