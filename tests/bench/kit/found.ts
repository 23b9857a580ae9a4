/** Leads a kiln's year through the judge, and through the simple way beside it, and holds what they notice against what happened. */
import { type Entry, Foundry, type NewEntry } from '../../../shared/contract/index.ts'
import { emptyHouse, type House, judge } from '../../../shared/judge/index.ts'
import type { KilnYear, YearBurnout } from '../../held-out/kiln-years/year.ts'

const minute = 60_000

export interface Notice {
  /** When it was noticed, since when it says that it goes on, and how warm the air was. */
  at: number
  since: number
  airC: number
}

export interface AskedFound {
  burnout: YearBurnout
  ours: Notice | null
  simple: Notice | null
}

export interface YearFound {
  asked: AskedFound[]
  /** Notices of what was no burnout, or had been said. */
  ours: Notice[]
  simple: Notice[]
  entries: number
  judgedMs: number
}

const foundry = Foundry.parse({
  site: { name: 'Invented', timeZone: 'UTC', elevationM: 0, invented: true },
  stations: [{ id: 'K', name: 'Kiln', kind: 'kiln' }],
  instruments: [{ id: 'air', name: 'Air', kind: 'thermocouple', station: 'K', place: 'kiln-air', intervalS: 60 }],
  recipes: [
    {
      kind: 'burnout',
      id: 'any',
      name: 'Any',
      segments: [{ kind: 'ramp', toC: 700, cPerHour: 60, governs: 'air' }],
    },
  ],
})

/** Above 200 °C for ten minutes; once told, not again before it was below 120 °C for half an hour. Silent while a burnout is said. */
class Simple {
  #hotSince: number | null = null
  #coldSince: number | null = null
  #isTold = false
  see(t: number, airC: number, isSaid: boolean): boolean {
    this.#hotSince = airC > 200 ? (this.#hotSince ?? t) : null
    this.#coldSince = airC < 120 ? (this.#coldSince ?? t) : null
    if (this.#coldSince !== null && t - this.#coldSince >= 30 * minute) this.#isTold = false
    if (isSaid) this.#isTold = true
    const tells = !this.#isTold && this.#hotSince !== null && t - this.#hotSince >= 10 * minute
    if (tells) this.#isTold = true
    return tells
  }
}

export function foundIn(year: KilnYear): YearFound {
  let house: House = emptyHouse()
  let seq = 0
  const told: Notice[] = []
  let airC = 0
  const tell = (entry: NewEntry) => {
    const [next, changes] = judge(house, { ...entry, seq: ++seq } as Entry)
    house = next
    for (const f of changes.findings)
      if (f.kind === 'burnout-found' && f.clearedAt === undefined)
        told.push({ at: f.raisedAt, since: f.since, airC: f.facts.valueC })
  }
  const simple = new Simple()
  const simply: Notice[] = []
  const said = year.burnouts.filter((b) => b.isSaid)
  let [next, open] = [0, false]
  const begun = performance.now()
  tell({ kind: 'foundry', at: (year.samples[0]?.t ?? 0) - minute, revision: 1, foundry })
  for (const sample of year.samples) {
    const one = said[next]
    if (one && open && sample.t >= one.to) {
      tell({ kind: 'act', act: 'run-close', at: one.to, by: 'Bo', run: `run-${next}`, reason: 'poured' })
      ;[next, open] = [next + 1, false]
    } else if (one && !open && sample.t >= one.from) {
      const declaration = { kind: 'burnout', station: 'K', recipe: 'any', revision: 1, startedAt: one.from } as const
      tell({ kind: 'act', act: 'run-start', at: one.from, by: 'Bo', run: `run-${next}`, declaration })
      open = true
    }
    const { t } = sample
    const reading = { kind: 'reading', at: t, series: 'air.temperature', measuredAt: t } as const
    if (sample.airC === null) tell({ ...reading, value: -127, quality: 'bad', reason: 'sensor-code' })
    else {
      airC = sample.airC
      tell({ ...reading, value: airC, quality: 'good' })
      if (simple.see(t, airC, open)) simply.push({ at: t, since: t, airC })
    }
  }
  const judgedMs = performance.now() - begun
  const within = ({ at }: Notice, b: YearBurnout) => at >= b.from && at <= b.to
  const asked = year.burnouts
    .filter((b) => !b.isSaid)
    .map((burnout) => ({
      burnout,
      ours: told.find((n) => within(n, burnout)) ?? null,
      simple: simply.find((n) => within(n, burnout)) ?? null,
    }))
  const isFalse = (n: Notice, which: 'ours' | 'simple') => asked.every((a) => a[which] !== n)
  return {
    asked,
    ours: told.filter((n) => isFalse(n, 'ours')),
    simple: simply.filter((n) => isFalse(n, 'simple')),
    entries: seq,
    judgedMs,
  }
}
