/** Charts and sums over HTTP: many series at once, as numbers or as JSON, sealed or not, corrected, and refused in one sentence. */
import { describe, expect, it } from 'vitest'
import { type ChartBody, chartsMedia, decodeCharts, type Problem, type SumsBody } from '../../shared/contract/index.ts'
import { hourMs, minuteMs } from '../../shared/time.ts'
import { smallFoundry, startGateway } from '../helpers/gateway.ts'

const begin = Date.parse('2026-03-28T20:00:00Z')

/** A night in which clocks went forward, told every 20 s, with a spike of one reading and an hour that is missing. */
async function night() {
  const started = await startGateway({ foundry: smallFoundry(), at: begin + 14 * hourMs, store: 'sqlite' })
  const readings = []
  for (let n = 0; n < 12 * 180; n++) {
    if (n >= 900 && n < 1_080) continue
    readings.push({ at: begin + n * 20_000, celsius: n === 600 ? 131 : 90 + (n % 10) / 10 })
  }
  await started.publish('pot-mid', readings)
  await started.lead(begin + 14 * hourMs + 2 * minuteMs)
  return started
}

const pot = 'pot-mid.temperature'

describe('a chart', () => {
  it('holds the spike and the hole of a night that has been sealed, and is the same as numbers and as JSON', async () => {
    const { http, ask, gateway } = await night()
    expect((await gateway.rooms.store.stock()).sealedReadings).toBe(1_980)
    const address = `/api/v1/charts?series=${pot}&series=nobody.temperature&from=${begin}&to=${begin + 12 * hourMs}&width=50`
    const { body } = await ask<{ items: ChartBody[] }>(address)
    const [chart, nobody] = body.items
    expect(Math.max(...(chart?.v.filter((v) => v !== null) ?? []))).toBe(131)
    expect(chart?.v.filter((v) => v === null)).toHaveLength(1)
    expect(chart?.readings).toBe(1_980)
    expect(nobody).toMatchObject({ t: [], v: [], readings: 0 })

    const response = await fetch(http + address, { headers: { accept: chartsMedia } })
    expect(response.headers.get('content-type')).toBe(chartsMedia)
    const { head, rows } = decodeCharts(await response.arrayBuffer())
    expect(head).toMatchObject({ from: begin, columns: 50, seq: chart?.seq })
    expect(Array.from(rows[0]?.t ?? [])).toEqual(chart?.t)
    expect(Array.from(rows[0]?.v ?? [], (v) => (Number.isNaN(v) ? null : v))).toEqual(chart?.v)
  })

  it('is refused in one sentence where it makes no sense', async () => {
    const { ask } = await startGateway({ foundry: smallFoundry() })
    for (const [query, sentence] of [
      ['series=nonsense&from=0&to=1&width=10', /"nonsense" is no series/],
      [`series=${pot}&from=5&to=5&width=10`, /`from` before `to`/],
      [`series=${pot}&from=0&to=5&width=0`, /width/],
      ['from=0&to=5&width=9', /series/],
    ] as const) {
      const { status, body } = await ask<Problem>(`/api/v1/charts?${query}`)
      expect([status === 400 || status === 404, body.detail]).toEqual([true, expect.stringMatching(sentence)])
    }
  })
})

describe('sums', () => {
  it('are told for local days, the short one of spring too', async () => {
    const { ask } = await night()
    const query = `from=${begin}&to=${begin + 12 * hourMs}`
    const { body } = await ask<SumsBody>(`/api/v1/series/${pot}/sums?${query}&by=day&low=80&high=100`)
    expect(body).toMatchObject({ by: 'day', unit: '°C', timeZone: 'Europe/London', band: { low: 80, high: 100 } })
    expect(body.items.map(({ from, to }) => (to - from) / hourMs)).toEqual([24, 23])
    expect(body.items.reduce((sum, { readings }) => sum + readings, 0)).toBe(1_980)
    expect(Math.max(...body.items.map(({ highest }) => highest?.v ?? 0))).toBe(131)
  })

  it('of more periods than may be asked for are refused with what to do', async () => {
    const { ask } = await startGateway({ foundry: smallFoundry() })
    const { status, body } = await ask<Problem>(`/api/v1/series/${pot}/sums?from=0&to=${100_000 * hourMs}&by=hour`)
    expect(status).toBe(400)
    expect(body.detail).toMatch(/more than 4400 hours.*Ask for fewer/)
  })
})
