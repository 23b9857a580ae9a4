/** The live line: nothing missed, nothing twice, and one who does not read harms nobody. */
import { createConnection } from 'node:net'
import { once } from 'node:events'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Frame, LiveMessage, Welcome } from '../../shared/contract/index.ts'
import { smallFoundry, startGateway, type TestGateway } from '../helpers/gateway.ts'
import { pause, until } from '../helpers/patience.ts'

const isWelcome = (m: LiveMessage): m is Welcome => m.is === 'welcome'
const isFrame = (m: LiveMessage): m is Frame => m.is === 'frame'

/** Readings of a stretch of frames, counted whole also where they were thinned. */
function heard(frames: readonly Frame[]): number {
  return frames.reduce(
    (sum, f) => sum + (f.standFor ?? Object.values(f.readings ?? {}).reduce((n, points) => n + points.length, 0)),
    0,
  )
}

function expectChain(welcome: Welcome, frames: readonly Frame[]): void {
  let held = welcome.seq
  for (const frame of frames) {
    expect(frame.after).toBe(held)
    expect(frame.seq).toBeGreaterThanOrEqual(frame.after)
    held = frame.seq
  }
}

describe('a screen that joins', () => {
  it('is told the whole state at once, and then every frame begins where the one before ended', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    await gateway.publish('pot-mid', { celsius: 163 })
    const { messages, next } = await gateway.live()
    const welcome = (await next(isWelcome)) as Welcome
    expect(welcome).toMatchObject({
      resumed: false,
      foundry: { site: { name: 'Test foundry' } },
      counts: { unreadable: 0, unclaimed: 0 },
    })
    expect(welcome.head).toBe(welcome.seq)
    expect(welcome.latest).toMatchObject([{ series: 'pot-mid.temperature', value: 163 }])
    expect(welcome.alarms.map((a) => a.kind)).toEqual(['above-ceiling'])
    for (let i = 0; i < 50; i++) await gateway.publish('pot-mid', { celsius: 100 + i / 10 })
    await until('all is told', () => messages.some((m) => isFrame(m) && m.seq === gateway.gateway.rooms.store.head()))
    const frames = messages.filter(isFrame)
    expectChain(welcome, frames)
    expect(heard(frames)).toBe(50)
  })

  it('is told of a message that could not be read and of an instrument that nobody has claimed', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const { next } = await gateway.live()
    const client = await gateway.client()
    await client.publishAsync('cirewatch/pot-mid/reading', 'rubbish', { qos: 1 })
    await client.publishAsync('cirewatch/new/reading', '{"celsius": 1}', { qos: 1 })
    const frame = (await next((m) => isFrame(m) && m.counts?.unreadable === 1 && m.counts.unclaimed === 1)) as Frame
    expect(frame.counts).toEqual({ unreadable: 1, unclaimed: 1 })
  })

  it('is told of a new foundry without asking', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const { next } = await gateway.live()
    const renamed = smallFoundry()
    renamed.site.name = 'Another name'
    await gateway.ask('/api/v1/foundry', renamed, 'PUT')
    const frame = (await next((m) => isFrame(m) && m.foundry !== undefined)) as Frame
    expect(frame.foundry?.foundry.site.name).toBe('Another name')
  })
})

async function broken(gateway: TestGateway, plan: readonly { readings: number; away: boolean }[]) {
  let held: number | undefined
  let stretch: { after: number; readings: number } | undefined
  for (const { readings, away } of plan) {
    const line = await gateway.live(held)
    const welcome = (await line.next(isWelcome)) as Welcome
    if (stretch === undefined) stretch = { after: welcome.seq, readings: 0 }
    else expect(welcome).toMatchObject({ resumed: true, seq: held })
    if (away) {
      line.socket.terminate()
      await once(line.socket, 'close')
    }
    const client = await gateway.client()
    await Promise.all(
      Array.from({ length: readings }, (_, i) =>
        client.publishAsync('cirewatch/pot-mid/reading', `{"celsius": ${90 + i / 100}}`, { qos: 1 }),
      ),
    )
    client.end(true)
    if (!away && readings > 0) await pause(5)
    line.socket.terminate()
    const frames = line.messages.filter(isFrame)
    expectChain(welcome, frames)
    held = frames.at(-1)?.seq ?? welcome.seq
    stretch.readings += heard(frames)
  }
  const line = await gateway.live(held)
  const welcome = (await line.next(isWelcome)) as Welcome
  const head = gateway.gateway.rooms.store.head()
  await until('all is told', () => welcome.seq === head || line.messages.some((m) => isFrame(m) && m.seq >= head))
  const frames = line.messages.filter(isFrame)
  expectChain(welcome, frames)
  return { after: stretch?.after ?? welcome.seq, readings: (stretch?.readings ?? 0) + heard(frames) }
}

describe('a screen that loses its line and comes back with the last seq it holds', () => {
  it('hears every reading once, however often and whenever it was cut off', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const one = fc.record({ readings: fc.nat(40), away: fc.boolean() })
    await fc.assert(
      fc.asyncProperty(fc.array(one, { minLength: 1, maxLength: 6 }), async (plan) => {
        const { after, readings } = await broken(gateway, plan)
        const entries = await gateway.gateway.rooms.store.journal(after, 100_000)
        expect(readings).toBe(entries.filter((e) => e.kind === 'reading').length)
      }),
      { numRuns: 15, seed: 20_260_301 },
    )
  })

  it('is told to read anew where it holds what never was', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const { next } = await gateway.live(1_000_000)
    expect(await next(isWelcome)).toMatchObject({ resumed: false, seq: gateway.gateway.rooms.store.head() })
  })

  it('with words instead of a number is refused', async () => {
    const gateway = await startGateway()
    expect((await fetch(`${gateway.http}/api/v1/live?after=yesterday`)).status).toBeGreaterThanOrEqual(400)
    await expect(gateway.live(-1)).rejects.toThrow()
  })
})

/** Opens the live line by hand and never reads from it. */
async function deafListener(http: string) {
  const { hostname, port } = new URL(http)
  const socket = createConnection({ host: hostname, port: Number(port) })
  socket.on('error', () => {})
  await once(socket, 'connect')
  const key = Buffer.alloc(16, 7).toString('base64')
  socket.write(
    `GET /api/v1/live HTTP/1.1\r\nHost: ${hostname}:${port}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Key: ${key}\r\nSec-WebSocket-Version: 13\r\n\r\n`,
  )
  socket.pause()
  return socket
}

describe('a screen that stops reading', () => {
  it('is cut off; everybody else gets everything, and the publishers do not wait', async () => {
    const gateway = await startGateway({ foundry: smallFoundry() })
    const { hub } = gateway.gateway.rooms
    const deaf = await deafListener(gateway.http)
    const good = await gateway.live()
    const welcome = (await good.next(isWelcome)) as Welcome
    await until('both are listening', () => hub.listeners === 2)
    // Each new foundry is a frame of many kilobytes: soon more waits than may.
    const large = smallFoundry()
    for (const station of large.stations) station.note = 'x'.repeat(500)
    large.instruments = Array.from({ length: 900 }, (_, i) => ({
      ...(large.instruments[i % 4] as (typeof large.instruments)[0]),
      id: i < 4 ? (large.instruments[i]?.id ?? '') : `probe-${i}`,
    }))
    for (let i = 0; i < 200 && hub.listeners === 2; i++) {
      large.site.name = `Foundry ${i}`
      expect((await gateway.ask('/api/v1/foundry', large, 'PUT')).status).toBe(200)
      await gateway.publish('pot-mid', { celsius: 90 + i / 100 })
    }
    expect(hub.listeners).toBe(1)
    await gateway.publish('pot-mid', { celsius: 99 })
    await until('the other has heard all', () =>
      good.messages.some((m) => isFrame(m) && m.seq === gateway.gateway.rooms.store.head()),
    )
    expectChain(welcome, good.messages.filter(isFrame))
    deaf.destroy()
  }, 120_000)

  it('one that talks instead of listening is let go', async () => {
    const gateway = await startGateway()
    const { socket, next } = await gateway.live()
    await next(isWelcome)
    socket.send('hello')
    const [code] = (await once(socket, 'close')) as [number]
    expect(code).toBe(1008)
    const other = await gateway.live()
    await other.next(isWelcome)
    other.socket.send('x'.repeat(2_000))
    await once(other.socket, 'close')
    expect((await gateway.ask('/healthz')).status).toBe(200)
  })
})
