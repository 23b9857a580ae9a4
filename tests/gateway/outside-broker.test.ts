/** With a broker of the foundry's own: readings arrive, survive a restart of that broker, and are not acknowledged before they are on disk. */
import { mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { assemble, type Gateway } from '../../gateway/assemble.ts'
import { siteClock } from '../../gateway/clock.ts'
import { readConfig } from '../../gateway/config.ts'
import { openLog } from '../../gateway/log.ts'
import { Subscriber } from '../../gateway/mqtt/subscriber.ts'
import { memoryStore } from '../../gateway/store/memory.ts'
import { type Mosquitto, mosquittoPub, mosquittoSub, startMosquitto } from '../helpers/broker.ts'
import { smallFoundry } from '../helpers/gateway.ts'
import { without } from '../helpers/outside.ts'
import { pause, until } from '../helpers/patience.ts'
import { refusingStore, type RefusingStore } from '../helpers/refusing-store.ts'

const started: { remove(): Promise<void> }[] = []
afterEach(async () => {
  for (const one of started.splice(0).reverse()) await one.remove()
})

async function gatewayAt(broker: Mosquitto, store: RefusingStore): Promise<{ gateway: Gateway; http: string }> {
  const clock = siteClock()
  const data = mkdtempSync(join(tmpdir(), 'cirewatch-outside-'))
  const config = readConfig(['--data', data, '--http', '127.0.0.1:0', '--broker', broker.url, '--log', 'silent'], {})
  const inlet = new Subscriber({ url: broker.url, clock })
  const build = { version: '0.0.0-test', builtAt: 0 }
  const gateway = await assemble(config, { clock, inlet, store, log: openLog('silent'), build, dashboard: 'none' })
  const { http } = await gateway.open()
  let isClosed = false
  started.push({
    async remove() {
      if (!isClosed) await gateway.close()
      isClosed = true
    },
  })
  await until('it is connected', () => inlet.state().connected && inlet.state().trouble === null)
  return { gateway, http }
}

async function outside() {
  const broker = await startMosquitto()
  started.push(broker)
  const store = refusingStore(memoryStore())
  return { broker, store, ...(await gatewayAt(broker, store)) }
}

const at = 1_750_000_000_000
const pub = (broker: Mosquitto, n: number, more: string[] = []) =>
  mosquittoPub(broker.port, [
    '-q',
    '1',
    '-t',
    'cirewatch/pot-mid/reading',
    '-m',
    JSON.stringify({ at: at + n * 1_000, celsius: 90 + n }),
    ...more,
  ])
const stored = (store: RefusingStore) => store.readingsOf('pot-mid.temperature')

describe.skipIf(without('broker'))('a gateway at another broker', () => {
  it('takes readings from it and says its alarms on it', async () => {
    const { broker, store, gateway } = await outside()
    await gateway.rooms.answer.setUp(() => smallFoundry())
    const clock = siteClock()
    await mosquittoPub(broker.port, [
      '-q',
      '1',
      '-t',
      'cirewatch/pot-mid/reading',
      '-m',
      JSON.stringify({ at: clock.now(), celsius: 163 }),
    ])
    await until('it is stored', async () => (await stored(store)) === 1)
    const [lamp] = await mosquittoSub(broker.port, 'cirewatch/site/alarm/#')
    expect(lamp).toContain('above-ceiling~pot-mid.temperature')
  })

  it('goes on by itself after a restart of that broker', async () => {
    const { broker, store, http } = await outside()
    await pub(broker, 0)
    await until('it is stored', async () => (await stored(store)) === 1)
    await broker.stop()
    await until(
      '/readyz says that instruments cannot reach it',
      async () => (await fetch(`${http}/readyz`)).status === 503,
    )
    await broker.again()
    await until('it is connected again', async () => (await fetch(`${http}/readyz`)).status === 200)
    await pub(broker, 1)
    await until('it is stored', async () => (await stored(store)) === 2)
  }, 60_000)

  it('that is away for a while gets what was published meanwhile', async () => {
    const { broker, store, gateway } = await outside()
    await pub(broker, 0)
    await until('it is stored', async () => (await stored(store)) === 1)
    started.pop()
    await gateway.close()
    for (let n = 1; n <= 5; n++) await pub(broker, n)
    const fresh = refusingStore(memoryStore())
    await gatewayAt(broker, fresh)
    await until('all five are stored', async () => (await stored(fresh)) === 5)
  })

  it('does not acknowledge what its disk did not take: after a crash the broker sends it again', async () => {
    const { broker, store, gateway } = await outside()
    store.full = true
    for (let n = 0; n < 3; n++) await pub(broker, n)
    await until('an append was refused', () => store.refusals > 0)
    await pause(200)
    started.pop()
    await gateway.close()
    const fresh = refusingStore(memoryStore())
    await gatewayAt(broker, fresh)
    await until('all three are stored', async () => (await stored(fresh)) === 3)
  })

  it('takes nothing that lay in the broker’s memory for something that is so now', async () => {
    const broker = await startMosquitto()
    started.push(broker)
    const retained = (topic: string, message: string) =>
      mosquittoPub(broker.port, ['-q', '1', '-r', '-t', topic, '-m', message])
    await retained('cirewatch/pot-mid/reading', '{"celsius": 163}')
    await retained('cirewatch/pot-mid/presence', '{"online": true}')
    await retained('cirewatch/room-air/presence', '{"online": false}')
    const store = refusingStore(memoryStore())
    await gatewayAt(broker, store)
    await until('the good-bye has come', async () => (await store.count('presence')) > 0)
    await pause(200)
    expect(await stored(store)).toBe(0)
    expect(await store.newest('presence', 10)).toMatchObject([{ instrument: 'room-air', online: false }])
  })
})
