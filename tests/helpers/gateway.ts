/** A whole gateway inside the test: real broker, real store, real pages, on free ports, with a clock the test may lead. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import mqtt, { type MqttClient } from 'mqtt'
import { onTestFinished } from 'vitest'
import WebSocket from 'ws'
import { assemble, type Gateway } from '../../gateway/assemble.ts'
import { LedClock, siteClock } from '../../gateway/clock.ts'
import { type Config, readConfig } from '../../gateway/config.ts'
import { openLog } from '../../gateway/log.ts'
import { EmbeddedBroker } from '../../gateway/mqtt/broker.ts'
import { memoryStore } from '../../gateway/store/memory.ts'
import { Backups } from '../../gateway/store/sqlite/keeping/backups.ts'
import { diskRoom } from '../../gateway/store/sqlite/keeping/disk.ts'
import { openSqliteStore } from '../../gateway/store/sqlite/sqlite.ts'
import type { Store } from '../../gateway/store/store.ts'
import type { Foundry, LiveMessage } from '../../shared/contract/index.ts'
import type { Clock } from '../../shared/time.ts'

export interface Wish {
  foundry?: unknown
  /** Led from this instant on; the machine's own clock where absent. */
  at?: number
  store?: 'memory' | 'sqlite' | Store
  /** Further flags, for example `['--http', '0.0.0.0:0']`, and environment. */
  flags?: string[]
  environment?: Record<string, string>
  builtAt?: number
}

export interface TestGateway {
  gateway: Gateway
  clock: Clock
  config: Config
  http: string
  mqttPort: number
  /** Leads the clock there; everything that falls due on the way is done. */
  lead(at: number): Promise<void>
  /** JSON of a GET, or of a POST or PUT where a body is given. */
  ask<T = unknown>(path: string, body?: unknown, method?: string): Promise<{ status: number; body: T }>
  client(options?: mqtt.IClientOptions): Promise<MqttClient>
  /** Publishes one reading with QoS 1 and waits for the PUBACK. */
  publish(instrument: string, payload: unknown): Promise<void>
  live(after?: number): Promise<{
    messages: LiveMessage[]
    socket: WebSocket
    next(until: (m: LiveMessage) => boolean): Promise<LiveMessage>
  }>
  close(): Promise<void>
}

async function storeFor(wish: Wish, folder: string): Promise<Store> {
  if (typeof wish.store === 'object') return wish.store
  return wish.store === 'sqlite' ? openSqliteStore(join(folder, 'cirewatch.db')) : memoryStore()
}

export async function startGateway(wish: Wish = {}): Promise<TestGateway> {
  const folder = await mkdtemp(join(tmpdir(), 'cirewatch-gateway-'))
  const clock = wish.at === undefined ? siteClock() : new LedClock(wish.at)
  const flags = [
    '--data',
    folder,
    '--http',
    '127.0.0.1:0',
    '--mqtt',
    '127.0.0.1:0',
    '--log',
    'silent',
    ...(wish.flags ?? []),
  ]
  const config = readConfig(flags, wish.environment ?? {})
  const who =
    config.mqttName !== undefined && config.mqttPassword !== undefined
      ? { name: config.mqttName, password: config.mqttPassword }
      : {}
  const inlet = new EmbeddedBroker({ ...config.mqtt, clock, ...who })
  const gateway = await assemble(config, {
    clock,
    inlet,
    store: await storeFor(wish, folder),
    log: openLog('silent'),
    build: { version: '0.0.0-test', builtAt: wish.builtAt ?? 0 },
    dashboard: join(import.meta.dirname, '../../build/dashboard'),
    ...(wish.store === 'sqlite' && { disk: () => diskRoom(folder) }),
    ...(config.backups !== undefined && {
      backups: new Backups({ source: join(folder, 'cirewatch.db'), folder: config.backups }),
    }),
  })
  const at = await gateway.open()
  const http = at.http.replace('0.0.0.0', '127.0.0.1')
  const mqttPort = Number(/:(\d+)$/.exec(at.mqtt)?.[1])
  const clients: MqttClient[] = []
  const sockets: WebSocket[] = []
  let closed = false

  const started: TestGateway = {
    gateway,
    clock,
    config,
    http,
    mqttPort,
    async lead(to) {
      if (!(clock instanceof LedClock)) throw new Error('This gateway follows the machine; hand it `at` to lead it.')
      await clock.lead(to, 0, () => gateway.settled())
    },
    async ask<T>(path: string, body?: unknown, method = body === undefined ? 'GET' : 'POST') {
      const sent =
        body === undefined ? {} : { body: JSON.stringify(body), headers: { 'content-type': 'application/json' } }
      const response = await fetch(http + path, { method, ...sent })
      return { status: response.status, body: (await response.json()) as T }
    },
    async client(options = {}) {
      const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${mqttPort}`, { reconnectPeriod: 0, ...options })
      clients.push(client)
      return client
    },
    async publish(instrument, payload) {
      clients[0] ??= await started.client()
      await (clients[0] as MqttClient).publishAsync(`cirewatch/${instrument}/reading`, JSON.stringify(payload), {
        qos: 1,
      })
      await gateway.settled()
    },
    async live(after) {
      const socket = new WebSocket(
        `${http.replace('http', 'ws')}/api/v1/live${after === undefined ? '' : `?after=${after}`}`,
      )
      sockets.push(socket)
      const messages: LiveMessage[] = []
      const waiting: (() => void)[] = []
      socket.on('message', (data) => {
        messages.push(JSON.parse(String(data)) as LiveMessage)
        for (const wake of waiting.splice(0)) wake()
      })
      await new Promise((resolve, reject) => socket.once('open', resolve).once('error', reject))
      return {
        messages,
        socket,
        async next(until) {
          for (let seen = 0; ; ) {
            for (; seen < messages.length; seen++)
              if (until(messages[seen] as LiveMessage)) return messages[seen] as LiveMessage
            await new Promise<void>((resolve) => void waiting.push(resolve))
          }
        },
      }
    },
    async close() {
      if (closed) return
      closed = true
      for (const socket of sockets) socket.terminate()
      for (const client of clients) client.end(true)
      await gateway.close()
      await rm(folder, { recursive: true, force: true, maxRetries: 3 })
    },
  }
  onTestFinished(() => started.close())
  if (wish.foundry !== undefined) {
    const put = await started.ask('/api/v1/foundry', wish.foundry, 'PUT')
    if (put.status !== 200) throw new Error(`The test's foundry is not valid: ${JSON.stringify(put.body)}`)
  }
  return started
}

/** A small foundry of the test's own: a pot, a room and a kiln, each with one or two instruments, and a recipe for each. */
export function smallFoundry(): Foundry {
  return JSON.parse(
    JSON.stringify({
      site: { name: 'Test foundry', timeZone: 'Europe/London', elevationM: 40, invented: true },
      stations: [
        {
          id: 'pot',
          name: 'Pot',
          kind: 'pot',
          leading: 'pot-mid',
          limits: [
            { kind: 'ceiling', aboveC: 150 },
            { kind: 'window', from: 60, to: 120, deadband: 1, onDelayS: 60, offDelayS: 30 },
            { kind: 'rise', cPerMinuteMax: 3, overS: 120 },
          ],
        },
        {
          id: 'room',
          name: 'Room',
          kind: 'dry-room',
          leading: 'room-air',
          limits: [
            { kind: 'window', quantity: 'temperature', from: 20.3, to: 23.7, deadband: 0.2, onDelayS: 120 },
            { kind: 'window', quantity: 'humidity', from: 40, to: 50, deadband: 1, onDelayS: 300 },
          ],
        },
        { id: 'kiln', name: 'Kiln', kind: 'kiln', leading: 'kiln-air', limits: [{ kind: 'ceiling', aboveC: 900 }] },
      ],
      instruments: [
        { id: 'pot-mid', name: 'Pot, middle', kind: 'thermocouple', station: 'pot', intervalS: 5 },
        { id: 'pot-gun', name: 'Pot, infrared', kind: 'infrared', station: 'pot', intervalS: 10 },
        { id: 'room-air', name: 'Room air', kind: 'climate', station: 'room', intervalS: 30 },
        { id: 'kiln-air', name: 'Kiln air', kind: 'thermocouple', station: 'kiln', intervalS: 10, thermocouple: 'K' },
      ],
      recipes: [
        {
          kind: 'wax',
          id: 'figure',
          name: 'Figure wax',
          revision: 1,
          coats: [
            { id: 'coat-1', name: 'Coat 1', window: { fromC: 104, toC: 110 } },
            { id: 'coat-2', name: 'Coat 2', window: { fromC: 93, toC: 97 } },
            { id: 'slush', name: 'Slush', window: { fromC: 74, toC: 78 } },
          ],
          floorC: 70,
          ceilingC: 150,
        },
        {
          kind: 'drying',
          id: 'backup',
          name: 'Backup',
          revision: 1,
          temperature: { fromC: 20.3, toC: 23.7 },
          humidity: { from: 40, to: 50 },
        },
        {
          kind: 'burnout',
          id: 'block',
          name: 'Block',
          revision: 1,
          startC: 20,
          governing: [],
          segments: [
            { kind: 'ramp', toC: 150, cPerHour: 60, toleranceC: 10 },
            { kind: 'hold', minutes: 60, toleranceC: 10 },
            { kind: 'ramp', toC: 100, cPerHour: 50, toleranceC: 10 },
          ],
        },
      ],
    }),
  ) as Foundry
}
