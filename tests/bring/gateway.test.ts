/** Bringing in and taking out through a real gateway, over HTTP. */
import { connect, type Socket } from 'node:net'
import { describe, expect, it } from 'vitest'
import type { BringAnswer, BringLook, BringPlan, BringResult, Problem } from '../../shared/contract/index.ts'
import { smallFoundry, startGateway, type TestGateway, type Wish } from '../helpers/gateway.ts'

const noon = Date.UTC(2026, 2, 20, 12)

async function opened(wish: Wish = {}): Promise<TestGateway> {
  return startGateway({ at: noon, foundry: smallFoundry(), ...wish })
}

async function look(gateway: TestGateway, text: string, file = 'dry-room.csv'): Promise<BringLook> {
  const answer = await fetch(`${gateway.http}/api/v1/imports/look?file=${file}`, { method: 'POST', body: text })
  expect(answer.status).toBe(200)
  return (await answer.json()) as BringLook
}

async function post(
  gateway: TestGateway,
  path: string,
  plan: unknown,
  body: BodyInit,
): Promise<{ status: number; lines: (BringAnswer & Problem)[] }> {
  const query = new URLSearchParams({ plan: JSON.stringify(plan), file: 'dry-room.csv' })
  if (path === '') query.set('by', 'Ana')
  const answer = await fetch(`${gateway.http}/api/v1/imports${path}?${query}`, {
    method: 'POST',
    headers: { 'content-type': 'application/octet-stream' },
    body,
    duplex: 'half',
  } as RequestInit)
  const text = await answer.text()
  return {
    status: answer.status,
    lines: text
      .trimEnd()
      .split('\n')
      .map((line) => JSON.parse(line) as BringAnswer & Problem),
  }
}

async function resultOf(
  gateway: TestGateway,
  path: '' | '/dry',
  plan: BringPlan,
  body: BodyInit,
): Promise<BringResult> {
  const { status, lines } = await post(gateway, path, plan, body)
  expect(status).toBe(200)
  const last = lines.at(-1)
  if (last?.is !== 'result') throw new Error(`No result: ${JSON.stringify(last)}`)
  return last
}

/** `count` lines, one a minute from 10:00 on. */
function table(count: number, valueAt: (i: number) => number = (i) => 20 + (i % 20) / 10): string {
  const line = (i: number) => {
    const at = new Date(Date.UTC(2026, 2, 10, 10) + i * 60_000).toISOString().slice(0, 16).replace('T', ' ')
    return `${at},${valueAt(i).toFixed(1)},45.0`
  }
  return `Time,Temp (°C),Humidity (%)\n${Array.from({ length: count }, (_, i) => line(i)).join('\n')}\n`
}

const stored = async (gateway: TestGateway, series: string) =>
  (await (await fetch(`${gateway.http}/api/v1/series/${series}/readings`)).text()).split('\n').filter((l) => l !== '')

describe.each(['memory', 'sqlite'] as const)('a table brought in (%s)', (store) => {
  it('is looked at and tried without anything being stored', async () => {
    const gateway = await opened({ store })
    const text = table(100)
    const head = gateway.gateway.rooms.store.head()
    const { plan, lines } = await look(gateway, text)
    expect(plan.values.map((v) => `${v.instrument}.${v.quantity}`)).toEqual([
      'dry-room.temperature',
      'dry-room.humidity',
    ])
    expect(lines[0]).toMatchObject({ at: Date.UTC(2026, 2, 10, 10), line: 2 })
    const tried = await resultOf(gateway, '/dry', plan, text)
    expect(tried).toMatchObject({ stored: false, stopped: null, readings: 200, lines: 100 })
    expect(gateway.gateway.rooms.store.head()).toBe(head)
    expect(await stored(gateway, 'dry-room.temperature')).toEqual([])
  })

  it('is kept as the trial said, and the second time adds nothing', async () => {
    const gateway = await opened({ store })
    const text = table(3_000)
    const { plan } = await look(gateway, text)
    const tried = await resultOf(gateway, '/dry', plan, text)
    const kept = await resultOf(gateway, '', plan, text)
    const told = ({ series, readings, stored, duplicates, conflicts, from, to }: BringResult['series'][number]) => ({
      series,
      readings,
      stored,
      duplicates,
      conflicts,
      from,
      to,
    })
    expect(kept.series.map(told)).toEqual(tried.series.map(told))
    expect(kept.sha256).toBe(tried.sha256)
    expect(await stored(gateway, 'dry-room.temperature')).toHaveLength(3_000)
    for (const path of ['/dry', ''] as const) {
      const again = await resultOf(gateway, path, plan, text)
      for (const series of again.series) expect(series).toMatchObject({ stored: 0, duplicates: 3_000, conflicts: 0 })
    }
    expect(await stored(gateway, 'dry-room.temperature')).toHaveLength(3_000)
  })

  it('never replaces what stands: another value is counted, told with its line, and kept beside it', async () => {
    const gateway = await opened({ store })
    const first = table(10)
    const { plan } = await look(gateway, first)
    await resultOf(gateway, '', plan, first)
    const other = table(12, (i) => (i === 3 ? 99 : 20 + (i % 20) / 10))
    for (const path of ['/dry', ''] as const) {
      const result = await resultOf(gateway, path, plan, other)
      const temperature = result.series.find((s) => s.series === 'dry-room.temperature')
      expect(temperature).toMatchObject({ stored: 2, duplicates: 9, conflicts: 1 })
      expect(result.conflicts).toEqual([
        { line: 5, reason: expect.stringContaining('is 99 here; 20.3 stands already and stays') },
      ])
    }
    const line = (await stored(gateway, 'dry-room.temperature'))[3]
    expect(JSON.parse(line as string)).toMatchObject({ value: 20.3 })
  })

  it('waits as unclaimed, with what it said, and stands in the logbook with who brought it', async () => {
    const gateway = await opened({ store })
    const text = table(5)
    const { plan } = await look(gateway, text)
    const { sha256 } = await resultOf(gateway, '', plan, text)
    const unclaimed = await gateway.ask<{ items: { instrument: string; readings: number }[] }>('/api/v1/unclaimed')
    expect(unclaimed.body.items).toMatchObject([{ instrument: 'dry-room', readings: 10 }])
    const [act] = await gateway.gateway.rooms.store.newest('act', 1)
    expect(act).toMatchObject({ act: 'import', by: 'Ana', file: 'dry-room.csv', sha256, unreadable: 0 })
    expect(act?.act === 'import' && act.series.map((s) => s.readings)).toEqual([5, 5])
  })

  it('raises no alarm about a past that was too hot, and goes on watching the present', async () => {
    const gateway = await opened({ store })
    const hot = table(200, () => 500)
      .replaceAll(',45.0', '')
      .replace(',Humidity (%)', '')
    const { plan } = await look(gateway, hot, 'pot-mid.csv')
    expect(plan.values[0]?.instrument).toBe('pot-mid')
    await resultOf(gateway, '', plan, hot)
    expect(await stored(gateway, 'pot-mid.temperature')).toHaveLength(200)
    const alarms = await gateway.ask<{ items: unknown[] }>('/api/v1/alarms')
    expect(alarms.body.items).toEqual([])
    await gateway.publish('pot-mid', { celsius: 160 })
    const now = await gateway.ask<{ items: { kind: string }[] }>('/api/v1/alarms')
    expect(now.body.items).toMatchObject([{ kind: 'above-ceiling' }])
  })
})

describe('an import', () => {
  it('is refused with one sentence where the plan is no plan, or a question is open', async () => {
    const gateway = await opened()
    const { plan } = await look(gateway, table(5))
    const wrong = await post(gateway, '', { ...plan, decimal: '!' }, 'x')
    expect(wrong.status).toBe(422)
    expect(wrong.lines[0]).toMatchObject({ code: 'not-valid', detail: expect.stringContaining('decimal must be') })
    const open = await post(gateway, '', { ...plan, ask: ['date-order'] }, 'x')
    expect(open.lines[0]).toMatchObject({
      status: 422,
      detail: 'Before anything is kept somebody must say whether day or month stands first.',
    })
    const none = await fetch(`${gateway.http}/api/v1/imports/look?file=x`, {
      method: 'POST',
      body: 'a letter to a friend',
    })
    expect(await none.json()).toMatchObject({ code: 'not-valid', detail: expect.stringContaining('date and time') })
  })

  it('keeps nothing that lies in the future, and says which lines', async () => {
    const gateway = await opened()
    const text = 'Time,Temp C\n2026-03-20 11:00,20\n2026-03-21 11:00,21\n'
    const { plan } = await look(gateway, text)
    const kept = await resultOf(gateway, '', plan, text)
    expect(kept.readings).toBe(1)
    expect(kept.unreadable).toMatchObject({
      count: 1,
      first: [{ line: 3, reason: expect.stringContaining('in the future') }],
    })
  })

  it('that is cut off keeps what came, says so in the logbook, and the rest comes with the next try', async () => {
    const gateway = await opened()
    const text = table(8_000)
    const { plan } = await look(gateway, text)
    const cut = new AbortController()
    const half = Buffer.from(text).subarray(0, Math.floor(text.length / 2))
    const body = new ReadableStream({
      start(controller) {
        controller.enqueue(half)
      },
    })
    const query = new URLSearchParams({ plan: JSON.stringify(plan), file: 'dry-room.csv', by: 'Ana' })
    const init = { method: 'POST', body, duplex: 'half', signal: cut.signal } as RequestInit
    const answer = await fetch(`${gateway.http}/api/v1/imports?${query}`, init)
    const reader = (answer.body as ReadableStream<Uint8Array>).getReader()
    await reader.read()
    cut.abort()
    await expect(reader.read()).rejects.toThrow()
    const acts = () => gateway.gateway.rooms.store.newest('act', 1)
    await expect
      .poll(async () => (await acts())[0])
      .toMatchObject({ act: 'import', stopped: expect.stringContaining('went away') })
    const came = (await stored(gateway, 'dry-room.temperature')).length
    expect(came).toBeGreaterThan(0)
    expect(came).toBeLessThan(8_000)
    const rest = await resultOf(gateway, '', plan, text)
    expect(rest.series[1]).toMatchObject({ series: 'dry-room.temperature', duplicates: came, stored: 8_000 - came })
  })

  it('is not cut off for taking longer than other requests may', async () => {
    const gateway = await opened()
    const { server } = gateway.gateway.http
    const sockets: Socket[] = []
    server.on('connection', (socket: Socket) => sockets.push(socket))
    const text = table(3_000)
    const { plan } = await look(gateway, text)
    const body = new TransformStream<Uint8Array, Uint8Array>()
    const writer = body.writable.getWriter()
    const going = post(gateway, '', plan, body.readable)
    await writer.write(Buffer.from(text.slice(0, 60_000)))
    await expect.poll(() => gateway.gateway.rooms.intake().committed).toBeGreaterThan(1_000)
    const idle = connect(Number(new URL(gateway.http).port), '127.0.0.1')
    const told = new Promise<string>((resolve) => idle.once('data', (data) => resolve(String(data))))
    await expect.poll(() => sockets.length).toBeGreaterThan(1)
    // What Node says of a request that has not come to its end in time.
    const error = Object.assign(new Error('Request timeout'), { code: 'ERR_HTTP_REQUEST_TIMEOUT' })
    for (const socket of sockets) server.emit('clientError', error, socket)
    expect(await told).toContain('408 Request Timeout')
    await writer.write(Buffer.from(text.slice(60_000)))
    await writer.close()
    expect((await going).lines.at(-1)).toMatchObject({ is: 'result', stopped: null, lines: 3_000 })
  })

  it('lets only some tables be read at once, and makes room when one is done', async () => {
    const gateway = await opened()
    const { plan } = await look(gateway, table(5))
    const open = [0, 1].map(() => new TransformStream<Uint8Array, Uint8Array>())
    const going = open.map((stream) => post(gateway, '/dry', plan, stream.readable))
    const writers = open.map((stream) => stream.writable.getWriter())
    for (const writer of writers) await writer.write(Buffer.from('Time,Temp (°C),Humidity (%)\n'))
    await expect.poll(async () => (await post(gateway, '/dry', plan, table(5))).status).toBe(429)
    for (const writer of writers) await writer.close()
    await Promise.all(going)
    expect((await post(gateway, '/dry', plan, table(5))).status).toBe(200)
  })
})

describe('an export', () => {
  it('holds all series one after another, under a name of its own', async () => {
    const gateway = await opened()
    const text = table(3)
    await resultOf(gateway, '', (await look(gateway, text)).plan, text)
    const path = '/api/v1/exports?series=dry-room.temperature&series=dry-room.humidity'
    const answer = await fetch(gateway.http + path)
    expect(answer.headers.get('content-disposition')).toBe('attachment; filename="cirewatch-2-series-2026-03-20.csv"')
    const lines = (await answer.text()).split('\r\n')
    expect(lines[0]).toBe('series,seq,measured_at,arrived_at,value,unit,quality,late')
    expect(lines.slice(1, -1).map((l) => l.split(',')[0])).toEqual([
      ...Array(3).fill('dry-room.temperature'),
      ...Array(3).fill('dry-room.humidity'),
    ])
    const json = await (await fetch(`${gateway.http}${path}&as=jsonl`)).text()
    expect(JSON.parse(json.split('\n')[0] as string)).toMatchObject({
      series: 'dry-room.temperature',
      value: 20,
      late: true,
    })
  })

  it('is refused with one sentence for what is no series and for a span without length', async () => {
    const gateway = await opened()
    const refused = async (query: string) => (await gateway.ask<Problem>(`/api/v1/exports?${query}`)).body.detail
    expect(await refused('series=nonsense')).toContain('"nonsense" is no series')
    expect(await refused('series=a.temperature&from=5&to=5')).toBe('An export needs `from` before `to`.')
    expect(await refused('')).toBe('An export needs the series that it is to hold: series=….')
  })

  it.each(['csv', 'jsonl'] as const)(
    'as %s, brought into another gateway, gives the same values, instants and quality',
    async (form) => {
      const [one, other] = [await opened(), await opened()]
      const values = [20.1, -3.25, 1_234.5678, 1e-7, 0.1 + 0.2, 999.9, -127, 2_500]
      for (const [i, celsius] of values.entries())
        await one.publish('stranger', { at: noon - 60_000 + i * 1_001, celsius, relativeHumidity: 40 + i })
      const path = `/api/v1/exports?series=stranger.temperature&series=stranger.humidity&as=${form}`
      const exported = await (await fetch(one.http + path)).text()
      const { plan, guesses } = await look(other, exported, `export.${form}`)
      expect(plan.ask).toEqual([])
      expect(guesses.filter((g) => g.sure === 'ask')).toEqual([])
      expect(await resultOf(other, '', plan, exported)).toMatchObject({ readings: 16, unreadable: { count: 0 } })
      const essence = (text: string) =>
        text
          .split('\n')
          .filter((l) => l.startsWith('{'))
          .map((l) => JSON.parse(l) as { series: string; measuredAt: string; value: number; quality: string })
          .map(({ series, measuredAt, value, quality }) => [series, measuredAt, value, quality])
      const inLines = async (g: TestGateway) =>
        essence(await (await fetch(`${g.http}${path.replace('as=csv', 'as=jsonl')}`)).text())
      const there = await inLines(other)
      expect(there).toHaveLength(16)
      expect(there).toEqual(await inLines(one))
      expect(there.map((r) => r[3])).toContain('bad')
    },
  )
})
