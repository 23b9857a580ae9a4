/** A tiny stand-in for the gateway: the built dashboard under the real content policy, a welcome, frames on demand, charts from a formula. */
import { createReadStream, existsSync, statSync } from 'node:fs'
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { extname, join, normalize } from 'node:path'
import { type WebSocket, WebSocketServer } from 'ws'
import { chartsMedia, type Frame, type UnclaimedBody, type Welcome } from '../../shared/contract/index.ts'
import { fakeDipBoard } from './fake-dip-board.ts'
import { fakeFindings, fakeNow, fakeValue, fakeWelcome } from './fake-foundry.ts'
import { type FakeInstruments, fakeInstruments, fakeUnclaimed } from './fake-instruments.ts'
import { fakeKeeping } from './fake-keeping.ts'
import { fakeNight, fakeNights } from './fake-night.ts'
import { fakeCharts, fakeRuns, fakeSeries, fakeSums } from './fake-past.ts'

const types: Record<string, string> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.svg': 'image/svg+xml',
}
export const contentPolicy =
  "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

export interface FakeGateway {
  url: string
  /** What was asked for: method, path and body. */
  asked: { method: string; path: string; body: string }[]
  /** Query of every request for many charts. */
  charts: string[]
  /** `?after=` of every listener that came, null for none. */
  came: (string | null)[]
  send(frame: Omit<Frame, 'is' | 'clock'> & Partial<Frame>): void
  welcome: Welcome
  instruments: FakeInstruments
  unclaimed: UnclaimedBody
  locked: boolean
  /** Cuts every listener, and takes none until it is called with true. */
  listen(on: boolean): void
  close(): Promise<void>
}

function chart(url: URL): unknown {
  const series = decodeURIComponent(url.pathname.split('/')[4] ?? '')
  const from = Number(url.searchParams.get('from'))
  const to = Math.min(fakeNow, Number(url.searchParams.get('to')))
  const columns = Math.min(400, Number(url.searchParams.get('width')))
  const t: number[] = []
  const v: (number | null)[] = []
  for (let i = 0; i <= columns; i++) {
    const at = Math.round(from + ((to - from) * i) / columns)
    const value = fakeValue(series, at)
    if (value === null && v[v.length - 1] === null) continue
    t.push(at)
    v.push(value)
  }
  return { series, from, to, columns, seq: 1_000, silenceMs: 60_000, t, v, readings: t.length }
}

const json = (response: ServerResponse, status: number, body: unknown) =>
  response
    .writeHead(status, { 'content-type': status < 400 ? 'application/json' : 'application/problem+json' })
    .end(JSON.stringify(body))

async function bodyOf(request: IncomingMessage): Promise<string> {
  let text = ''
  for await (const piece of request) text += String(piece)
  return text
}

export async function fakeGateway(
  dashboard = join(import.meta.dirname, '../../build/dashboard'),
  welcome = fakeWelcome(1_000),
): Promise<FakeGateway> {
  const listeners = new Set<WebSocket>()
  let listening = true

  const answers: Record<string, () => unknown> = {
    '/api/v1/about': () => ({
      version: '0.1.0',
      clock: welcome.clock,
      mqtt: { address: 'mqtt://127.0.0.1:1883', port: 1883, connected: true, secured: false },
    }),
    '/api/v1/alarms': () => ({ items: welcome.alarms }),
    '/api/v1/findings': () => ({ items: fakeFindings }),
    '/api/v1/unreadable': () => ({
      total: 2,
      items: [
        {
          seq: 7,
          at: fakeNow - 60_000,
          topic: 'cirewatch/w1-mid/reading',
          reason: 'The payload is not JSON in UTF-8 (note that NaN and Infinity are no JSON).',
          bytes: 16,
          payload: '{"celsius": NaN}',
        },
        {
          seq: 5,
          at: fakeNow - 3_600_000,
          topic: 'cirewatch/k2-air/reading',
          reason: 'The message has a key that is not known: temp; known are celsius, fahrenheit.',
          bytes: 13,
          payload: '{"temp": 700}',
        },
      ],
    }),
    '/api/v1/keeping': fakeKeeping,
    '/api/v1/dip-board': fakeDipBoard,
    '/api/v1/nights': fakeNights,
    '/api/v1/nights/last': fakeNight,
    '/api/v1/series': fakeSeries,
    '/api/v1/unclaimed': () => gateway.unclaimed,
    '/api/v1/instruments': () => ({ items: gateway.instruments.all() }),
  }

  const server = createServer((request, response) => void answer(request, response))
  async function answer(request: IncomingMessage, response: ServerResponse) {
    const url = new URL(request.url ?? '/', 'http://fake')
    response.setHeader('content-security-policy', contentPolicy)
    if (url.pathname === '/healthz') return json(response, 200, { alive: true })
    if (!url.pathname.startsWith('/api/')) return file(url.pathname, response)
    const body = await bodyOf(request)
    gateway.asked.push({ method: request.method ?? '', path: url.pathname, body })
    if (url.pathname === '/api/v1/session') {
      gateway.locked = JSON.parse(body).token !== 'right'
      return gateway.locked
        ? json(response, 401, {
            type: 'about:blank',
            status: 401,
            code: 'token-needed',
            title: '',
            detail: 'This is not the token of this gateway.',
          })
        : json(response, 200, {})
    }
    if (gateway.locked && url.pathname !== '/api/v1/about')
      return json(response, 401, {
        type: 'about:blank',
        status: 401,
        code: 'token-needed',
        title: 'A token is needed.',
      })
    if (url.pathname === '/api/v1/charts') {
      gateway.charts.push(url.search)
      return response.writeHead(200, { 'content-type': chartsMedia }).end(fakeCharts(url))
    }
    if (url.pathname.endsWith('/sums')) return json(response, 200, fakeSums(url))
    if (url.pathname === '/api/v1/runs' && request.method === 'GET')
      return json(response, 200, fakeRuns(url.searchParams.get('station')))
    if (url.pathname.endsWith('/chart')) return json(response, 200, chart(url))
    const instrument = gateway.instruments.answer(url.pathname, body)
    if (instrument !== null) return json(response, 200, instrument)
    const known = answers[url.pathname]
    return request.method === 'POST'
      ? json(response, 200, {})
      : known
        ? json(response, 200, known())
        : json(response, 404, {
            type: 'about:blank',
            status: 404,
            code: 'not-found',
            title: 'There is no such thing here.',
          })
  }
  function file(path: string, response: ServerResponse) {
    const wanted = join(dashboard, normalize(path))
    const found = existsSync(wanted) && statSync(wanted).isFile() ? wanted : join(dashboard, 'index.html')
    response.writeHead(200, { 'content-type': types[extname(found)] ?? 'application/octet-stream' })
    createReadStream(found).pipe(response)
  }

  const sockets = new WebSocketServer({ noServer: true })
  server.on('upgrade', (request, socket, head) => {
    if (!listening || gateway.locked) return socket.destroy()
    sockets.handleUpgrade(request, socket, head, (line) => {
      const after = new URL(request.url ?? '/', 'http://fake').searchParams.get('after')
      gateway.came.push(after)
      const resumed = after !== null && Number(after) === gateway.welcome.seq
      line.send(JSON.stringify({ ...gateway.welcome, resumed }))
      listeners.add(line)
      line.on('close', () => listeners.delete(line))
    })
  })
  await new Promise<void>((done) => server.listen(0, '127.0.0.1', done))

  const gateway: FakeGateway = {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    asked: [],
    charts: [],
    came: [],
    welcome,
    instruments: fakeInstruments(),
    unclaimed: fakeUnclaimed(),
    locked: false,
    send(frame) {
      const text = JSON.stringify({ is: 'frame', clock: gateway.welcome.clock, ...frame })
      for (const line of listeners) line.send(text)
    },
    listen(on) {
      listening = on
      if (!on) for (const line of listeners) line.terminate()
    },
    async close() {
      for (const line of listeners) line.terminate()
      server.closeAllConnections()
      await new Promise((done) => server.close(done))
    },
  }
  return gateway
}
