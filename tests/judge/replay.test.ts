/** Replay: what happened, told again by the time of measurement, as if everything had come at once. */
import { describe, expect, it } from 'vitest'
import type { Entry, NewEntry } from '../../shared/contract/index.ts'
import { byArrival, byMeasurement, emptyHouse, freeze, stateShape, thaw } from '../../shared/judge/index.ts'
import { foundryOf, noon, onePot, Tale } from './tale.ts'

const p = 'p.temperature'
const pot = onePot([
  { kind: 'ceiling', aboveC: 150 },
  { kind: 'window', to: 100 },
])

function reading(atS: number, value: number, lateS = 0): NewEntry {
  const measuredAt = noon + atS * 1_000
  return { kind: 'reading', at: measuredAt + lateS * 1_000, series: p, measuredAt, value, quality: 'good' }
}

function numbered(entries: NewEntry[]): Entry[] {
  return entries.map((entry, i) => ({ ...entry, seq: i + 1 }) as Entry)
}

const begin: NewEntry = { kind: 'foundry', at: noon, revision: 1, foundry: foundryOf(pot) }
const until = noon + 3_600_000

describe('what happened', () => {
  it('shows the excursion that people did not see, because it came in a backlog', () => {
    const entries = numbered([
      begin,
      reading(0, 90),
      ...[10, 20, 30].map((s) => reading(s, 160, 3_000)),
      ...[40, 50].map((s) => reading(s, 90, 2_980)),
    ])
    expect(byArrival(emptyHouse(), entries).findings).toEqual([])
    const ceiling = byMeasurement(emptyHouse(), entries, until).findings.find((f) => f.kind === 'above-ceiling')
    expect(ceiling).toMatchObject({ since: noon + 10_000, clearedAt: noon + 40_000 })
  })

  it('records the ticks that a watch would have recorded', () => {
    const quiet = byMeasurement(
      emptyHouse(),
      numbered([begin, reading(0, 101), reading(20, 101), reading(40, 101)]),
      until,
    ).findings
    expect(quiet).toMatchObject([
      { kind: 'outside-window', since: noon, raisedAt: noon + 60_000 },
      { kind: 'gone-quiet', since: noon + 70_000 },
    ])
  })

  it('knows nothing of the gateway’s own absence: what came later anyway was never missing', () => {
    const away: NewEntry = { kind: 'start', at: noon + 900_000, downSince: noon + 10_000 }
    const entries = numbered([begin, away, ...Array.from({ length: 90 }, (_, i) => reading(i * 10, 90, 1_000))])
    expect(byMeasurement(emptyHouse(), entries, noon + 900_000).findings).toEqual([])
  })

  it('ends where it is told to end', () => {
    const entries = numbered([begin, reading(0, 90), reading(10, 160)])
    expect(byMeasurement(emptyHouse(), entries, noon + 9_000).findings).toEqual([])
  })

  it('of two values for one instant judges the lower, whichever came first, and calls it uncertain', () => {
    const conflict = (kept: number, refused: number): NewEntry => ({
      kind: 'conflict',
      at: noon + 10_050,
      series: p,
      measuredAt: noon + 10_000,
      kept,
      refused,
    })
    for (const [kept, refused] of [
      [97, 95],
      [95, 97],
    ] as const) {
      const { house } = byMeasurement(
        emptyHouse(),
        numbered([begin, reading(10, kept), conflict(kept, refused)]),
        noon + 11_000,
      )
      expect(house.stations[0]?.series[0]).toMatchObject({ value: 95, quality: 'uncertain' })
    }
  })

  it('takes a sensor code for no value, also where it is the lower of two', () => {
    const conflict: NewEntry = {
      kind: 'conflict',
      at: noon + 10_050,
      series: p,
      measuredAt: noon + 10_000,
      kept: 95,
      refused: -127,
    }
    const { house } = byMeasurement(emptyHouse(), numbered([begin, reading(10, 95), conflict]), noon + 11_000)
    expect(house.stations[0]?.series[0]).toMatchObject({ value: 95, quality: 'uncertain' })
  })
})

describe('a snapshot', () => {
  it('is text of this shape, and brings back what was frozen', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 151)
    expect(thaw(freeze(tale.house))).toEqual(tale.house)
    expect(stateShape).toBeGreaterThan(0)
  })

  it('that is no state of ours is not read', () => {
    for (const text of ['', '{', '{}', 'null', '[]', '{"revision":1,"foundry":{"site":5}}'])
      expect(thaw(text)).toBeNull()
  })
})
