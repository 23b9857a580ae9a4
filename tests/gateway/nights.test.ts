/** Nights over HTTP: the review, its table, the calendar, what late readings amend, and what is refused in one sentence. */
import { describe, expect, it } from 'vitest'
import type { NightReview, NightsBody, Problem } from '../../shared/contract/index.ts'
import { hourMs, minuteMs } from '../../shared/time.ts'
import { startGateway } from '../helpers/gateway.ts'
import { dawn, foundryDocument, noon } from '../night/material.ts'

const date = '2026-06-10'
const morning = dawn + hourMs
/** So much is sent at once. */
const partMs = 30 * minuteMs

/** 22.0 °C and 45 %, but for an hour at 25.5 °C from 22:00 on, which is eleven hours after noon. */
const reading = (t: number) => ({
  at: new Date(t).toISOString(),
  celsius: t >= noon + 11 * hourMs && t < noon + 12 * hourMs ? 25.5 : 22 + ((t / minuteMs) % 5) * 0.01,
  relativeHumidity: 45,
})

function told(from: number, to: number) {
  const all = []
  for (let t = from; t < to; t += minuteMs) all.push(reading(t))
  return all
}

async function house(upTo: number) {
  const started = await startGateway({ foundry: foundryDocument, at: noon - hourMs, store: 'sqlite' })
  for (let t = noon; t < upTo; t += partMs) {
    await started.lead(Math.min(t + partMs, upTo))
    await started.publish('air', told(t, Math.min(t + partMs, upTo)))
  }
  return started
}

describe('a night over HTTP', () => {
  it('tells its excursion with both crossings, is the last one in the morning, and is summed the same in the calendar', async () => {
    const { ask } = await house(morning)
    const { status, body } = await ask<NightReview>(`/api/v1/nights/${date}`)
    expect(status).toBe(200)
    const line = body.rooms[0]?.lines.find((l) => l.series === 'air.temperature')
    expect(line?.excursions).toHaveLength(1)
    // From 22.04 up to 25.5 within a minute, and back: 24 is crossed where the straight line crosses it.
    const rise = (24 - 22.04) / (25.5 - 22.04)
    expect(line?.excursions[0]?.from).toBeCloseTo(noon + 11 * hourMs - minuteMs + rise * minuteMs, 3)
    expect(line?.excursions[0]).toMatchObject({ side: 'above', peak: 25.5, isDark: true, seenBy: [] })
    expect(line?.dark?.coverage).toBe(1)
    expect(body.amended).toBeNull()

    const last = await ask<NightReview>('/api/v1/nights/last')
    expect(last.body).toEqual(body)

    const calendar = await ask<NightsBody>(`/api/v1/nights?from=${noon}&to=${noon + hourMs}`)
    expect(calendar.body.items.map((n) => n.date)).toEqual([date])
    const glance = calendar.body.items[0]?.rooms[0]?.temperature
    expect(glance?.seenMs).toBe(line?.whole.seenMs)
    expect(glance?.inBandMs).toBeCloseTo(line?.whole.inBandMs ?? 0, 3)
    expect(glance?.beyond).toBeCloseTo(line?.whole.beyond ?? 0, 9)
  })

  it('is amended by what an instrument kept and sent after dawn, in the review and in the calendar', async () => {
    const { ask, publish, lead } = await startGateway({ foundry: foundryDocument, at: noon - hourMs, store: 'sqlite' })
    for (let t = noon; t < morning; t += partMs) {
      await lead(Math.min(t + partMs, morning))
      // From 02:00 to 04:00 nothing came.
      if (t >= noon + 14 * hourMs && t < noon + 16 * hourMs) continue
      await publish('air', told(t, Math.min(t + partMs, morning)))
    }
    const before = (await ask<NightReview>(`/api/v1/nights/${date}`)).body
    const calendarPath = `/api/v1/nights?from=${noon}&to=${noon + hourMs}`
    const summedBefore = (await ask<NightsBody>(calendarPath)).body.items[0]?.rooms[0]?.temperature
    expect(before.amended).toBeNull()
    expect(before.rooms[0]?.lines[0]?.missing).toHaveLength(1)
    expect(before.rooms[0]?.lines[0]?.dark?.coverage).toBeLessThan(0.87)

    await lead(morning + hourMs)
    await publish('air', told(noon + 14 * hourMs, noon + 16 * hourMs))
    const after = (await ask<NightReview>(`/api/v1/nights/${date}`)).body
    expect(after.rooms[0]?.lines[0]?.dark?.coverage).toBe(1)
    expect(after.rooms[0]?.lines[0]?.backfilled).toHaveLength(1)
    expect(after.amended?.readings).toBe(2 * 120)
    expect(after.amended?.changes[0]).toMatchObject({ series: 'air.temperature', coverageTo: 1 })
    const summedAfter = (await ask<NightsBody>(calendarPath)).body.items[0]?.rooms[0]?.temperature
    expect((summedAfter?.seenMs ?? 0) - (summedBefore?.seenMs ?? 0)).toBeGreaterThan(119 * minuteMs)
  })

  it('comes as a table, one line for each happening', async () => {
    const { http } = await house(morning)
    const response = await fetch(`${http}/api/v1/nights/${date}/csv`)
    expect(response.headers.get('content-type')).toBe('text/csv; charset=utf-8')
    const lines = (await response.text()).trim().split(/\r?\n/)
    expect(lines[0]).toBe('from,to,station,what,subject,side,peak,beyond,cause,seen_by,seen_at')
    expect(lines.some((l) => l.includes('excursion') && l.includes('air.temperature') && l.includes('25.5'))).toBe(true)
  })

  it('is refused in one sentence where there is none', async () => {
    const { ask } = await startGateway({ foundry: foundryDocument, at: noon })
    for (const [path, sentence] of [
      ['nights/2026-02-30', /no 2026-02-30 in the calendar/],
      ['nights/yesterday', /must be the date/],
      ['nights/2031-01-01', /has not begun/],
      ['nights?from=5&to=5', /`from` before `to`/],
      [`nights?from=0&to=${noon}`, /Ask for fewer/],
    ] as const) {
      const { status, body } = await ask<Problem>(`/api/v1/${path}`)
      expect([status, body.detail]).toEqual([400, expect.stringMatching(sentence)])
    }
  })
})
