/** Who may: this machine, whoever has the token, and no page of another origin. */
import { createConnection } from 'node:net'
import { request } from 'node:http'
import { once } from 'node:events'
import mqtt from 'mqtt'
import { describe, expect, it } from 'vitest'
import WebSocket from 'ws'
import { readConfig } from '../../gateway/config.ts'
import type { Problem } from '../../shared/contract/index.ts'
import { smallFoundry, startGateway } from '../helpers/gateway.ts'
import { startChild } from '../helpers/gateway-child.ts'
import { tempFolder } from '../helpers/temp-folder.ts'

const token = 'a-token-of-the-test-17'
const bearer = { authorization: `Bearer ${token}` }
const beyond = () => startGateway({ flags: ['--http', '0.0.0.0:0'], environment: { CIREWATCH_BOOTSTRAP_TOKEN: token } })

/** The path goes over the wire exactly as it is written here. */
function raw(
  http: string,
  path: string,
  headers: Record<string, string> = {},
  method = 'GET',
): Promise<{ status: number; body: string; type: string }> {
  const { hostname, port } = new URL(http)
  return new Promise((resolve, reject) => {
    const asked = request({ hostname, port, path, method, headers }, (response) => {
      let body = ''
      response.setEncoding('utf8').on('data', (text: string) => {
        body += text
      })
      response.on('end', () =>
        resolve({ status: response.statusCode ?? 0, body, type: String(response.headers['content-type']) }),
      )
    })
    asked.on('error', reject).end()
  })
}

/** The HTTP status with which a WebSocket is refused, or 101. */
function knock(http: string, headers: Record<string, string>): Promise<number> {
  const socket = new WebSocket(`${http.replace('http', 'ws')}/api/v1/live`, { headers })
  return new Promise((resolve) => {
    socket.on('error', () => {})
    socket.once('unexpected-response', (_request, response) => {
      resolve(response.statusCode ?? 0)
      response.destroy()
    })
    socket.once('open', () => {
      resolve(101)
      socket.terminate()
    })
  })
}

describe('a gateway that can be reached from the network', () => {
  it('does not start without a token, nor with a broker that is open to anybody', () => {
    expect(() => readConfig(['--http', '0.0.0.0:8470'], {})).toThrow(/CIREWATCH_BOOTSTRAP_TOKEN/)
    expect(() => readConfig(['--http', '[::]:8470'], {})).toThrow(/token/)
    expect(() => readConfig(['--http', '192.168.1.7:8470'], { CIREWATCH_BOOTSTRAP_TOKEN: 'short' })).toThrow(
      /16 letters/,
    )
    expect(() => readConfig(['--mqtt', '0.0.0.0:1883'], {})).toThrow(/CIREWATCH_MQTT_NAME/)
    expect(() => readConfig(['--mqtt', '0.0.0.0:1883'], { CIREWATCH_MQTT_NAME: 'foundry' })).toThrow(
      /CIREWATCH_MQTT_PASSWORD/,
    )
    expect(readConfig(['--mqtt', '127.3.2.1:1883', '--http', '[::1]:0'], {}).http).toEqual({ host: '::1', port: 0 })
    expect(() => readConfig(['--mqtt', '127.evil.example:1883'], {})).toThrow()
  })

  it('answers nothing but its health without the token, and everything with it', async () => {
    const { http } = await beyond()
    for (const path of ['/api/v1/foundry', '/api/v1/alarms', '/api/v1/openapi.json', '/metrics', '/api/v1/nothing']) {
      const { status, body, type } = await raw(http, path)
      expect([path, status]).toEqual([path, 401])
      expect(type).toContain('application/problem+json')
      expect(JSON.parse(body) as Problem).toMatchObject({ code: 'token-needed', status: 401 })
    }
    for (const path of ['/healthz', '/readyz', '/api/v1/about']) expect((await raw(http, path)).status).toBe(200)
    expect((await raw(http, '/api/v1/foundry', bearer)).status).toBe(200)
    expect((await raw(http, '/metrics', bearer)).body).toContain('cirewatch_seq')
  })

  it('is not fooled by another spelling of an address', async () => {
    const { http } = await beyond()
    const spellings = [
      '/%61pi/v1/foundry',
      '/api%2Fv1/foundry',
      '/%6detrics',
      '/api/v1/%66oundry',
      '//api/v1/foundry',
      '/API/v1/foundry',
      '/./api/v1/foundry',
      '/x/../api/v1/foundry',
      '/api/v1/about/../foundry',
      '/api/v1/foundry;x',
      '/api/v1/session?/../foundry',
    ]
    for (const path of spellings) {
      const { status, body } = await raw(http, path)
      expect([path, status === 401 || status === 404]).toEqual([path, true])
      expect(body).not.toContain('timeZone')
    }
    expect((await raw(http, '/%61pi/v1/foundry', {}, 'HEAD')).status).toBe(401)
  })

  it('lets a browser in by a session that the page cannot read', async () => {
    const { http } = await beyond()
    const enter = (given: string) =>
      fetch(`${http}/api/v1/session`, {
        method: 'POST',
        body: JSON.stringify({ token: given }),
        headers: { 'content-type': 'application/json' },
      })
    expect((await enter('not-the-token-of-it')).status).toBe(401)
    const cookie = (await enter(token)).headers.get('set-cookie') ?? ''
    expect(cookie).toMatch(/HttpOnly/)
    expect(cookie).toMatch(/SameSite=Strict/)
    const session = { cookie: cookie.split(';')[0] ?? '' }
    expect((await raw(http, '/api/v1/foundry', session)).status).toBe(200)
    expect(await knock(http, session)).toBe(101)
    expect(await knock(http, {})).toBe(401)
    expect((await raw(http, '/api/v1/foundry', { cookie: `${session.cookie}x` })).status).toBe(401)
  })

  it('does not let a stranger guess for ever', async () => {
    const { http } = await beyond()
    const guess = (i: number) =>
      fetch(`${http}/api/v1/session`, {
        method: 'POST',
        body: JSON.stringify({ token: `guess-number-${i}-of-many` }),
        headers: { 'content-type': 'application/json' },
      })
    const statuses: number[] = []
    for (let i = 0; i < 25; i++) statuses.push((await guess(i)).status)
    expect(statuses.slice(0, 20)).toEqual(Array<number>(20).fill(401))
    expect(statuses.slice(20)).toEqual(Array<number>(5).fill(429))
  })

  it('nor by trying bearer tokens, while the session that is in stays in', async () => {
    const { http } = await beyond()
    const entered = await fetch(`${http}/api/v1/session`, {
      method: 'POST',
      body: JSON.stringify({ token }),
      headers: { 'content-type': 'application/json' },
    })
    const session = { cookie: entered.headers.get('set-cookie')?.split(';')[0] ?? '' }
    const statuses: number[] = []
    for (let i = 0; i < 25; i++)
      statuses.push((await raw(http, '/api/v1/foundry', { authorization: `Bearer guess-${i}` })).status)
    expect(statuses.slice(20)).toEqual(Array<number>(5).fill(429))
    // Otherwise a guesser would only have to look for the one answer that differs.
    expect((await raw(http, '/api/v1/foundry', bearer)).status).toBe(429)
    expect((await raw(http, '/api/v1/foundry', session)).status).toBe(200)
  })
})

describe('a page of another origin', () => {
  it('may neither listen nor act, not even on this machine', async () => {
    const { http } = await startGateway({ foundry: smallFoundry() })
    const foreign = { origin: 'http://evil.example' }
    expect(await knock(http, foreign)).toBe(403)
    expect(await knock(http, { origin: 'null' })).toBe(403)
    expect(await knock(http, { origin: http })).toBe(101)
    expect((await raw(http, '/api/v1/runs', foreign, 'POST')).status).toBe(403)
    expect((await raw(http, '/api/v1/foundry', { origin: http.replace(/\d+$/, '1') })).status).toBe(403)
  })

  it('nor one whose name was pointed at this machine', async () => {
    const { http } = await startGateway()
    for (const host of ['evil.example', 'evil.example:8470', '127.0.0.1.evil.example', 'localhost.evil.example'])
      expect([host, (await raw(http, '/api/v1/foundry', { host })).status]).toEqual([host, 403])
    for (const host of ['localhost', '127.0.0.1:9', '[::1]:8470'])
      expect((await raw(http, '/api/v1/foundry', { host })).status).toBe(200)
  })
})

describe('the pages', () => {
  it('come under a policy that allows nothing from outside and nothing inline', async () => {
    const { http } = await startGateway()
    const policy =
      (await fetch(`${http}/`, { headers: { accept: 'text/html' } })).headers.get('content-security-policy') ?? ''
    expect(policy).toContain("default-src 'self'")
    expect(policy).toContain("frame-ancestors 'none'")
    expect(policy).not.toMatch(/unsafe|\*|https?:/)
    expect((await fetch(`${http}/api/v1/about`)).headers.get('content-security-policy')).toBe(policy)
  })

  it('are served from their own folder only', async () => {
    const { http } = await startGateway()
    for (const path of [
      '/../package.json',
      '/..%2f..%2fpackage.json',
      '/assets/../../gateway/main.js',
      '/%2e%2e/stamp.json',
      '/.../stamp.json',
    ])
      expect((await raw(http, path)).body).not.toMatch(/builtAt|"scripts"|readConfig/)
  })
})

describe('the broker with a name and a password', () => {
  const who = { CIREWATCH_MQTT_NAME: 'foundry', CIREWATCH_MQTT_PASSWORD: 'molten-wax-93' }

  it('takes the right ones and refuses all others with the code of the standard', async () => {
    const { mqttPort, client, ask } = await startGateway({ environment: who })
    const tryWith = async (username?: string, password?: string) => {
      const options = {
        reconnectPeriod: 0,
        ...(username === undefined ? {} : { username }),
        ...(password === undefined ? {} : { password }),
      }
      return mqtt.connectAsync(`mqtt://127.0.0.1:${mqttPort}`, options).then(
        async (c) => {
          await c.endAsync()
          return 'in'
        },
        (error: { code?: number }) => error.code,
      )
    }
    expect(await tryWith('foundry', 'molten-wax-93')).toBe('in')
    expect(await tryWith('foundry', 'molten-wax-94')).toBe(4)
    expect(await tryWith('stranger', 'molten-wax-93')).toBe(4)
    expect(await tryWith('foundry')).toBe(4)
    expect(await tryWith()).toBe(4)
    const device = await client({ username: 'foundry', password: 'molten-wax-93' })
    await device.publishAsync('cirewatch/pot-mid/reading', '{"celsius": 93.4}', { qos: 1 })
    expect((await ask<{ mqtt: { secured: boolean } }>('/api/v1/about')).body.mqtt.secured).toBe(true)
  })
})

describe('secrets', () => {
  it('are in nothing that the gateway prints, logs or says', async () => {
    const secrets = {
      CIREWATCH_BOOTSTRAP_TOKEN: 'ladle-of-secret-words',
      CIREWATCH_MQTT_NAME: 'foundry',
      CIREWATCH_MQTT_PASSWORD: 'crucible-of-secrets',
    }
    const gateway = await startChild({
      data: await tempFolder(),
      flags: ['--http', '0.0.0.0:0', '--log', 'debug'],
      environment: secrets,
    })
    const authorization = `Bearer ${secrets.CIREWATCH_BOOTSTRAP_TOKEN}`
    const said = await Promise.all(
      ['/api/v1/about', '/readyz', '/metrics', '/api/v1/openapi.json'].map(async (path) =>
        (await fetch(gateway.http + path, { headers: { authorization } })).text(),
      ),
    )
    await fetch(`${gateway.http}/api/v1/foundry?token=${secrets.CIREWATCH_BOOTSTRAP_TOKEN}`, {
      headers: { authorization },
    })
    const device = await mqtt.connectAsync(`mqtt://127.0.0.1:${gateway.mqttPort}`, {
      username: 'foundry',
      password: secrets.CIREWATCH_MQTT_PASSWORD,
    })
    await device.endAsync()
    const socket = createConnection(gateway.mqttPort, '127.0.0.1')
    socket.on('error', () => {})
    socket.end('no MQTT')
    await once(socket, 'close')
    expect(await gateway.stop('SIGTERM')).toBe(0)
    const everything = said.join('') + gateway.said()
    expect(everything).toContain('the gateway is up')
    expect(everything).not.toContain(secrets.CIREWATCH_BOOTSTRAP_TOKEN)
    expect(everything).not.toContain(secrets.CIREWATCH_MQTT_PASSWORD)
  })
})
