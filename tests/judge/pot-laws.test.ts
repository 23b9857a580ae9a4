/** The laws of judging, over a day of pots: whoever restarts in the middle finds the same, and whoever folds it again stamps the same coats. */
import { describe, expect, it } from 'vitest'
import type { Entry, Finding, Foundry } from '../../shared/contract/index.ts'
import { emptyHouse, freeze, judge, stationView, thaw } from '../../shared/judge/index.ts'
import type { House } from '../../shared/judge/state.ts'
import { minute, morning, potFoundry, recipe } from './pot-kit.ts'

const waits = { earliestMinutes: 4, latestMinutes: 20 }
const waiting = {
  ...recipe,
  coats: recipe.coats.map((coat, i) => (i === 0 ? coat : { ...coat, wait: waits })),
}

/** Two pots and a button; a coating that takes from both; one pot left on, then running away. */
function day(): Entry[] {
  const one = potFoundry(112, { leftOnHours: 2, batchHours: 1.5 })
  const foundry: Foundry = {
    ...one,
    recipes: [waiting],
    stations: [...one.stations, { id: 'Q', name: 'Second', kind: 'pot', limits: [], pot: { recipe: 'w' } }],
    instruments: [
      ...one.instruments,
      { id: 'q', name: 'Second probe', kind: 'thermocouple', station: 'Q', place: 'wax-middle', intervalS: 10 },
      { id: 'b', name: 'Bench button', kind: 'contact', station: 'P', place: 'button', intervalS: 3_600 },
    ],
  }
  const entries: Entry[] = [{ kind: 'foundry', seq: 0, at: morning, revision: 1, foundry }]
  const enter = (entry: object) => entries.push({ seq: entries.length, ...entry } as Entry)
  const reads = (series: string, at: number, value: number) =>
    enter({ kind: 'reading', at: at + 100, series, measuredAt: at, value, quality: 'good' })
  const declaration = { kind: 'coating', station: 'P', recipe: 'w', revision: 1, pots: ['P', 'Q'] } as const
  const deeds: Record<number, () => void> = {
    1: () => enter({ kind: 'act', at: morning + minute, by: 'Ana', act: 'run-start', run: 'r', declaration }),
    5: () =>
      enter({
        kind: 'act',
        at: morning + 5 * minute,
        by: 'Ana',
        act: 'run-step',
        run: 'r',
        step: { step: 'coat', coat: 'one' },
      }),
    6: () => reads('b.contact', morning + 6 * minute, 1),
    7: () => reads('b.contact', morning + 7 * minute, 0),
    40: () =>
      enter({
        kind: 'act',
        at: morning + 40 * minute,
        by: 'Ana',
        act: 'run-step',
        run: 'r',
        step: { step: 'coat', coat: 'slush', pot: 'Q' },
      }),
    190: () => enter({ kind: 'act', at: morning + 190 * minute, by: 'Ana', act: 'new-wax', station: 'P' }),
  }
  for (let m = 0; m < 260; m++) {
    for (let s = 0; s < 60; s += 10) {
      const at = morning + m * minute + s * 1_000
      reads(
        'p.temperature',
        at,
        m < 200 ? 106 + Math.sin(m) : Math.min(149, 106 + (m - 200) * 2 + s / 30) - (m > 222 ? (m - 222) * 4 : 0),
      )
      reads('q.temperature', at, 95 - m * 0.3)
    }
    deeds[m]?.()
  }
  return entries
}

function fold(entries: readonly Entry[], restartEvery = Infinity): { found: Finding[]; house: House } {
  let house = emptyHouse()
  const found: Finding[] = []
  entries.forEach((entry, i) => {
    if (i % restartEvery === restartEvery - 1) house = thaw(freeze(house)) ?? house
    const [next, changes] = judge(house, entry)
    house = next
    found.push(...changes.findings)
  })
  return { found, house }
}

describe('a day of pots', () => {
  const entries = day()
  const whole = fold(entries)

  it('tells of a pot left on, of old wax, of a relay that stays closed, of coats too soon and too late', () => {
    const kinds = new Set(whole.found.map((f) => f.kind))
    for (const kind of ['left-on', 'wax-old', 'no-cut-off', 'nearing-ceiling', 'coat-off-wait'] as const)
      expect(kinds).toContain(kind)
    expect(whole.found.flatMap((f) => (f.kind === 'coat-off-wait' ? [f.facts.side] : []))).toEqual([
      'too-soon',
      'too-late',
    ])
    for (const kind of ['left-on', 'wax-old', 'no-cut-off', 'nearing-ceiling'])
      expect(whole.found.some((f) => f.kind === kind && f.clearedAt !== undefined)).toBe(true)
  })

  it('stamps each coat with the pot it came from, pressed or said', () => {
    const run = stationView(whole.house, 0).runs[0]
    expect(run?.progress).toMatchObject({
      done: [
        { coat: 'one', pot: 'P', inWindow: true, by: 'Ana', waitKept: null },
        { coat: 'two', pot: 'Q', inWindow: true, by: 'Bench button', waitKept: 'too-soon' },
        { coat: 'slush', pot: 'Q', inWindow: false, waitKept: 'too-late' },
      ],
      next: null,
    })
  })

  it('is judged the same by whoever was restarted in the middle of it', () => {
    for (const every of [7, 311, 1_000]) {
      const again = fold(entries, every)
      expect(again.found).toEqual(whole.found)
      expect(JSON.parse(freeze(again.house))).toEqual(JSON.parse(freeze(whole.house)))
    }
  })
})
