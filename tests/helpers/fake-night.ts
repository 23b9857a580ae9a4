/** The last night of the invented foundry, reviewed by the real reviewer from the fake readings; and a month of nights like it. */
import { nightOf } from '../../gateway/zone.ts'
import type { NightSeries } from '../../gateway/record/night/material.ts'
import { nightReview } from '../../gateway/record/night/review.ts'
import { type GlanceLine, nightHoursDefault, type NightReview, type NightsBody } from '../../shared/contract/index.ts'
import { dayMs, minuteMs } from '../../shared/time.ts'
import { fakeFindings, fakeFoundry, fakeNow, fakeValue } from './fake-foundry.ts'

const date = '2031-11-18'
const { timeZone } = fakeFoundry.site

function seriesOf(instrument: (typeof fakeFoundry.instruments)[number], from: number): NightSeries[] {
  return (['temperature', 'humidity'] as const).map((quantity) => {
    const series = `${instrument.id}.${quantity}`
    const told: { t: number; v: number }[] = []
    for (let t = from; t < fakeNow; t += minuteMs) {
      const v = fakeValue(series, t)
      if (v !== null) told.push({ t, v })
    }
    return {
      series,
      quantity,
      instrument,
      silenceMs: 3 * minuteMs,
      backlogMs: 2 * minuteMs,
      columns: {
        t: Float64Array.from(told, (s) => s.t),
        v: Float64Array.from(told, (s) => s.v),
        quality: new Uint8Array(told.length),
        arrivedAt: Float64Array.from(told, (s) => s.t + 40),
      },
    }
  })
}

export function fakeNight(): NightReview {
  const span = nightOf(timeZone, date, nightHoursDefault)
  const rooms = fakeFoundry.stations.filter((s) => s.kind === 'dry-room').map((s) => s.id)
  const climate = fakeFoundry.instruments.filter((i) => i.kind === 'climate' && rooms.includes(i.station ?? ''))
  return nightReview({
    foundry: fakeFoundry,
    date,
    ...span,
    now: fakeNow,
    series: climate.flatMap((i) => seriesOf(i, span.from)),
    silent: [],
    coverage: [{ series: 'store.temperature', coverage: 0.71 }],
    findings: fakeFindings,
    acts: [],
    starts: [],
    runs: [
      {
        id: 'r-9',
        kind: 'drying',
        station: 'D1',
        recipe: 'fresh-prime',
        revision: 1,
        piece: 'Heron 4',
        startedAt: fakeNow - 13 * 60 * minuteMs,
        startedBy: 'Ana',
        endedAt: null,
        closedBy: null,
      },
    ],
  })
}

export function fakeNights(): NightsBody {
  const { from, to } = nightOf(timeZone, date, nightHoursDefault)
  const line = (nth: number, lowest: number, highest: number): GlanceLine => ({
    coverage: nth % 7 === 3 ? 0.64 : 0.998,
    longestHoleMs: minuteMs,
    seenMs: dayMs,
    inBandMs: dayMs - (nth % 5) * 17 * minuteMs,
    beyond: (nth % 5) * 11,
    lowest,
    highest,
  })
  return {
    timeZone,
    bands: [],
    items: Array.from({ length: 30 }, (_, nth) => ({
      date: new Date(from - nth * dayMs).toISOString().slice(0, 10),
      from: from - nth * dayMs,
      to: to - nth * dayMs,
      rooms: [{ station: 'D1', temperature: line(nth, 20.9, 24.2), humidity: line(nth + 2, 55, 63) }],
    })),
  }
}
