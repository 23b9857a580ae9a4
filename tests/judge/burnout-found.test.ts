/** A burnout that nobody said: noticed from the kiln's air, told calmly, and said afterwards as if it had been said in time. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Entry, Finding, UndeclaredBurnout } from '../../shared/contract/index.ts'
import {
  byArrival,
  emptyHouse,
  freeze,
  heldSince,
  standingFindings,
  stationView,
  thaw,
} from '../../shared/judge/index.ts'
import { noon, type Setting, Tale } from './tale.ts'

const minute = 60
const hour = 3_600
const air = 'air.temperature'
const load = 'load.temperature'

const kiln: Setting = {
  stations: [{ id: 'K', name: 'Kiln', kind: 'kiln', limits: [] }],
  instruments: ['air', 'load'].map((place) => ({
    id: place,
    name: place,
    kind: 'thermocouple',
    station: 'K',
    place: `kiln-${place}`,
    intervalS: 30,
  })),
  recipes: [
    {
      kind: 'burnout',
      id: 'block',
      name: 'Block',
      segments: [
        { kind: 'ramp', toC: 150, cPerHour: 60, toleranceC: 15, governs: 'air' },
        { kind: 'hold', minutes: 40, toleranceC: 15, governs: 'all' },
        { kind: 'ramp', toC: 400, cPerHour: 60, toleranceC: 15, governs: 'air' },
      ],
      hands: [{ id: 'vent', name: 'Open the vent', what: 'vent', segment: 0, atC: 100 }],
    },
  ],
}

type Course = (s: number) => number

/** At rest at 20 °C, from then on up at that rate, to there. */
const ramp =
  (cPerHour: number, fromS = 3 * hour, toC = 700): Course =>
  (s) =>
    Math.min(toC, 20 + Math.max(0, ((s - fromS) * cPerHour) / hour))

function told(course: Course, toS: number, tale = new Tale(kiln), fromS = 0): Tale {
  for (let s = fromS; s <= toS; s += 30) tale.reads(air, s, course(s))
  return tale
}

const undeclared = (tale: Tale): UndeclaredBurnout[] => stationView(tale.house, 0).undeclared ?? []
const declaration = { kind: 'burnout', station: 'K', recipe: 'block', revision: 1 } as const
const at = (s: number) => noon + s * 1_000

describe('a burnout that nobody said', () => {
  it('is noticed within minutes of 135 °C, with when it began to within two minutes', () => {
    for (const cPerHour of [40, 60, 100, 150]) {
      const at135 = 3 * hour + (115 / cPerHour) * hour
      const [found] = told(ramp(cPerHour), at135 + 20 * minute).told('burnout-found')
      expect(found?.raised, `${cPerHour} °C/h`).toBeGreaterThanOrEqual(at135)
      expect(found?.raised).toBeLessThanOrEqual(at135 + 11 * minute)
      expect(Math.abs((found?.since ?? 0) - 3 * hour)).toBeLessThanOrEqual(2 * minute)
    }
  })

  it('is noticed within 55 minutes where it climbs fast, told calmly, and once', () => {
    const tale = told(ramp(300), 12 * hour)
    const found = tale.told('burnout-found')
    expect(found).toHaveLength(1)
    expect(found[0]?.raised).toBeLessThanOrEqual(3 * hour + 55 * minute)
    expect(tale.alarm()).toMatchObject({ kind: 'burnout-found', station: 'K', answer: { tier: 'this-shift' } })
    expect(tale.findings.size).toBe(1)
    const [finding] = tale.findings.values()
    expect(finding).toMatchObject({ kind: 'burnout-found', instrument: 'air', facts: { fromC: 20 } })
    if (finding?.kind === 'burnout-found') expect(finding.facts.cPerHour).toBeCloseTo(300, 0)
  })

  it('is no drying at low heat, however long, nor one that overshoots', () => {
    for (const setC of [60, 100, 120]) {
      const drying: Course = (s) => Math.min(setC, ramp(120)(s)) + (s < 5 * hour ? 6 : 0)
      expect(told(drying, 30 * hour).told('burnout-found'), `${setC} °C`).toEqual([])
    }
  })

  it('is no drying whose probe tells degrees Fahrenheit as Celsius', () => {
    const drying: Course = (s) => (s < 3 * hour ? 20 : 20 + 85 * (1 - Math.exp((3 * hour - s) / (20 * minute))))
    expect(told((s) => 1.8 * drying(s) + 32, 20 * hour).told('burnout-found')).toEqual([])
  })

  it('is no test firing of twenty minutes, however hot', () => {
    const test: Course = (s) => {
      const minutes = (s - 3 * hour) / minute
      if (minutes < 0) return 20
      return minutes < 20 ? 20 + 40 * minutes : 20 + 800 * Math.exp(-(minutes - 20) / 90)
    }
    expect(told(test, 24 * hour).told('burnout-found')).toEqual([])
  })

  it('is no door that is shut again on a hot kiln', () => {
    const cooling: Course = (s) => {
      const falls = 20 + 600 * Math.exp(-s / (10 * hour))
      const shut = s - 4 * hour
      return shut < -20 * minute ? falls : shut < 0 ? 0.4 * falls : falls * (1 - 0.6 * Math.exp(-shut / (8 * minute)))
    }
    expect(told(cooling, 24 * hour).told('burnout-found')).toEqual([])
  })

  it('is not made by spikes, by a probe that jumps and is pinned, or by one that cannot measure', () => {
    const spikes: Course = (s) => (s % 570 === 0 ? 1_370 : 20)
    expect(told(spikes, 12 * hour).told('burnout-found')).toEqual([])
    const pinned: Course = (s) => (s < 3 * hour ? 20 : 640)
    expect(told(pinned, 12 * hour).told('burnout-found')).toEqual([])
    const wild: Course = (s) => 60 + 500 * Math.abs(Math.sin(s * s))
    expect(told(wild, 12 * hour).told('burnout-found')).toEqual([])
    const tale = told(ramp(0), 3 * hour)
    for (let s = 3 * hour; s < 6 * hour; s += 30) tale.bad(air, s)
    expect(tale.told('burnout-found')).toEqual([])
  })

  it('is not hidden by spikes or bad readings among the good ones', () => {
    const tale = new Tale(kiln)
    for (let s = 0; s <= 6 * hour; s += 30) {
      if (s % 90 === 0) tale.bad(air, s)
      else tale.reads(air, s, s % 570 === 0 ? 1_370 : ramp(60)(s))
    }
    const [found] = tale.told('burnout-found')
    expect(found?.raised).toBeLessThanOrEqual(3 * hour + 130 * minute)
  })

  it('is noticed after a hole in its climb, and an hour after one that hides all of it', () => {
    const short = told(ramp(60), 4 * hour)
    told(ramp(60), 9 * hour, short, 6 * hour)
    expect(short.told('burnout-found')[0]?.raised).toBeLessThanOrEqual(6 * hour + 50 * minute)
    expect(Math.abs((short.told('burnout-found')[0]?.since ?? 0) - 3 * hour)).toBeLessThanOrEqual(2 * minute)

    const whole = told(ramp(300, 3 * hour, 700), 3 * hour - minute)
    told(ramp(300, 3 * hour, 700), 9 * hour, whole, 7 * hour)
    const [found] = whole.told('burnout-found')
    expect(found?.raised).toBeGreaterThanOrEqual(8 * hour)
    expect(found?.raised).toBeLessThanOrEqual(8 * hour + 12 * minute)
    // Nobody saw when it began: it is told from when the kiln was last seen at rest.
    expect(found?.since).toBeGreaterThanOrEqual(3 * hour - 10 * minute)
    expect(found?.since).toBeLessThanOrEqual(3 * hour)
  })

  it('ends when the kiln is cold again, with how hot it became, and waits to be declared', () => {
    const course: Course = (s) => (s < 14 * hour ? ramp(60)(s) : Math.max(20, 680 - ((s - 14 * hour) * 120) / hour))
    const tale = told(course, 24 * hour)
    const [found] = tale.told('burnout-found')
    const at120 = 14 * hour + (560 / 120) * hour
    expect(Math.abs((found?.cleared ?? 0) - at120)).toBeLessThanOrEqual(5 * minute)
    expect(tale.alarms()).toEqual(['burnout-found returned-unacknowledged'])
    expect(undeclared(tale)).toMatchObject([{ from: at(found?.since ?? 0), to: at(found?.cleared ?? 0) }])
    expect(Math.abs((undeclared(tale)[0]?.topC ?? 0) - 680)).toBeLessThan(6)

    tale.starts('late', 25 * hour, { ...declaration, startedAt: at(3 * hour), endedAt: at(18 * hour) })
    expect(undeclared(tale)).toEqual([])
  })

  it('raises no alarm about the past: what a backlog brings waits to be declared, what goes on is told with the next fresh value', () => {
    const course: Course = (s) => (s < 12 * hour ? ramp(60)(s) : 20)
    const over = new Tale(kiln)
    for (let s = 0; s <= 20 * hour; s += 30) over.reads(air, s, course(s), { lateS: 30 * hour })
    expect(over.told('burnout-found')).toEqual([])
    expect(undeclared(over)).toHaveLength(1)

    const goesOn = new Tale(kiln)
    for (let s = 0; s <= 8 * hour; s += 30) goesOn.reads(air, s, ramp(60)(s), { lateS: 8 * hour - s + 5 })
    const before = goesOn.told('burnout-found').length
    goesOn.reads(air, 8 * hour + 30, ramp(60)(8 * hour + 30))
    expect([before, goesOn.told('burnout-found').length]).toEqual([1, 1])
  })

  it('is nobody’s secret while a run is under way, and is told anew when that was closed too soon', () => {
    const tale = told(ramp(60), 3 * hour)
    tale.starts('run', 3 * hour + 1, declaration)
    told(ramp(60), 8 * hour, tale, 3 * hour + 30)
    expect(tale.told('burnout-found')).toEqual([])
    tale.closes('run', 8 * hour + 1)
    told(ramp(60), 10 * hour, tale, 8 * hour + 30)
    expect(tale.told('burnout-found')).toHaveLength(1)
  })

  it('is noticed all the same after a step of our clock in the middle of its climb', () => {
    for (const byS of [-2 * hour, 5 * hour]) {
      const tale = told(ramp(60), 4 * hour)
      tale.tell({ kind: 'clock-step', at: at(4 * hour + byS), byMs: byS * 1_000 })
      for (let s = 4 * hour + 30; s < 8 * hour; s += 30) tale.reads(air, s + byS, ramp(60)(s))
      expect(tale.told('burnout-found'), `${byS} s`).toHaveLength(1)
      expect(tale.told('burnout-found')[0]?.since).toBeLessThanOrEqual(4 * hour + byS)
    }
  })
})

/** Air and load, every 30 s, with what is random in it. */
function both(tale: Tale, fromS: number, toS: number, cPerHour: number, isLost: (s: number) => boolean): void {
  for (let s = fromS; s <= toS; s += 30) {
    if (isLost(s)) continue
    tale.reads(air, s, ramp(cPerHour, hour, 150)(s))
    if (s % 600 === 0) tale.bad(load, s + 1)
    else tale.reads(load, s + 1, ramp(cPerHour, hour + 20 * minute, 149)(s))
  }
}

describe('saying it while it goes on', () => {
  it('ends what was found, as seen by whoever said it', () => {
    const tale = told(ramp(60), 6 * hour)
    expect(tale.standing()).toEqual(['burnout-found K'])
    const since = undeclared(tale)[0]?.from ?? 0
    tale.starts('run', 6 * hour + 1, { ...declaration, startedAt: since })
    expect(tale.standing()).not.toContain('burnout-found K')
    expect(tale.alarms().filter((a) => a.startsWith('burnout-found'))).toEqual([])
    expect(undeclared(tale)).toEqual([])
    expect(tale.told('burnout-found')[0]?.cleared).toBe(6 * hour + 1)
  })

  it('is judged like one that was said in time, whenever it is said', () => {
    const plan = fc.record({
      cPerHour: fc.integer({ min: 45, max: 200 }),
      saidS: fc.integer({ min: 1, max: 8 * 60 }).map((m) => hour + m * minute),
      lostFrom: fc.integer({ min: 0, max: 8 * hour }),
      lostS: fc.constantFrom(0, 45, 600),
    })
    fc.assert(
      fc.property(plan, ({ cPerHour, saidS, lostFrom, lostS }) => {
        const isLost = (s: number) => s >= lostFrom && s < lostFrom + lostS
        const inTime = new Tale(kiln)
        both(inTime, 0, hour - 30, cPerHour, isLost)
        inTime.starts('run', hour, { ...declaration, startedAt: at(hour) })
        both(inTime, hour, 9.5 * hour, cPerHour, isLost)

        const late = new Tale(kiln)
        both(late, 0, saidS - 30, cPerHour, isLost)
        expect(heldSince(late.house.stations[0] as never)).toBeLessThanOrEqual(at(hour))
        late.starts('run', saidS - 1, { ...declaration, startedAt: at(hour) })
        both(late, saidS, 9.5 * hour, cPerHour, isLost)

        const run = (tale: Tale) => tale.house.stations[0]?.runs[0]
        expect(run(late)?.burnout).toEqual(run(inTime)?.burnout)
        expect(run(late)?.run).toEqual(run(inTime)?.run)
        expect(run(inTime)?.burnout?.walk.ledgers.length).toBe(1)
      }),
      { numRuns: 25 },
    )
  })

  it('keeps of a probe that speaks every second no more than it needs, and is within a few seconds of one said in time', () => {
    const [inTime, late] = [new Tale(kiln), new Tale(kiln)]
    const course = ramp(60, hour, 150)
    const lead = (tale: Tale, fromS: number, toS: number) => {
      for (let s = fromS; s < toS; s++) {
        tale.reads(air, s, course(s))
        tale.reads(load, s, course(s - 10 * minute))
      }
    }
    lead(inTime, 0.5 * hour, hour)
    inTime.starts('run', hour, { ...declaration, startedAt: at(hour) })
    lead(inTime, hour, 3.5 * hour)
    lead(late, 0.5 * hour, 3.5 * hour)
    late.starts('run', 3.5 * hour, { ...declaration, startedAt: at(hour) })
    const [a, b] = [inTime, late].map((tale) => tale.progress('run', 'burnout'))
    expect(b?.segment).toBe(a?.segment)
    expect(a?.creditedMs).toBeGreaterThan(5 * minute * 1_000)
    expect(Math.abs((b?.creditedMs ?? 0) - (a?.creditedMs ?? 0))).toBeLessThanOrEqual(20_000)
  })

  it('shows where it stands at once, and calls for what is due now', () => {
    const tale = new Tale(kiln)
    both(tale, 0, 3.5 * hour, 60, () => false)
    tale.starts('run', 3.5 * hour + 2, { ...declaration, startedAt: at(hour) })
    expect(tale.progress('run', 'burnout')).toMatchObject({ segment: 1, began: [at(hour), at(hour + 130 * minute)] })
    expect(tale.progress('run', 'burnout').creditedMs).toBeGreaterThan(0)
    expect(tale.told('hand-due')).toHaveLength(1)
  })
})

/** A random stretch of a kiln's life: climbs, holds, falls, holes, wild and bad values, late ones, runs said and closed, restarts. */
const stretch = fc.record({
  is: fc.constantFrom('heat', 'heat', 'heat', 'hold', 'fall', 'hole', 'wild', 'bad', 'late', 'say', 'close', 'declare'),
  minutes: fc.integer({ min: 5, max: 150 }),
  cPerHour: fc.integer({ min: 20, max: 400 }),
})
const lives = fc.array(stretch, { minLength: 8, maxLength: 24 })

function lived(plan: typeof lives extends fc.Arbitrary<infer T> ? T : never): Entry[] {
  const tale = new Tale(kiln)
  let [s, c, nth] = [0, 20, 0]
  for (; s < 2 * hour; s += 60) tale.reads(air, s, c)
  for (const { is, minutes, cPerHour } of plan) {
    if (is === 'say') {
      const beforeS = minutes % 2 === 0 ? 10 * minute : -1
      tale.starts(`run-${++nth}`, s + 1, { ...declaration, startedAt: at(s - beforeS) })
    }
    if (is === 'close') tale.closes(`run-${nth}`, s + 1)
    if (is === 'declare')
      tale.starts(`run-${++nth}`, s + 1, { ...declaration, startedAt: at(s - 5 * hour), endedAt: at(s) })
    const slope = is === 'heat' ? cPerHour : is === 'fall' ? -2 * cPerHour : 0
    for (let m = 0; m < minutes; m++) {
      s += 60
      c = Math.min(900, Math.max(15, c + slope / 60))
      if (is === 'bad') tale.bad(air, s)
      else if (is === 'wild') tale.reads(air, s, m % 3 === 0 ? 1_200 - c : c)
      else if (is === 'late') tale.reads(air, s, c, { lateS: (minutes - m) * 60 })
      else if (is !== 'hole') tale.reads(air, s, c)
      if (m % 7 === 0) tale.reads(load, s + 1, 0.9 * c)
    }
    if (is === 'late') s += 60
  }
  return tale.journal
}

describe('the laws of finding', () => {
  it('finds the same, and holds the same, however often and wherever it is restarted', () => {
    const kinds = new Set<string>()
    fc.assert(
      fc.property(lives, fc.infiniteStream(fc.integer({ min: 1, max: 400 })), (plan, lengths) => {
        const journal = lived(plan)
        const through = byArrival(emptyHouse(), journal)
        const found = new Map<string, Finding>()
        let house = emptyHouse()
        for (let i = 0; i < journal.length; ) {
          const length = lengths.next().value
          const part = byArrival(house, journal.slice(i, i + length))
          for (const finding of part.findings) found.set(finding.id, finding)
          house = thaw(freeze(part.house)) ?? emptyHouse()
          i += length
        }
        expect(house).toEqual(through.house)
        expect([...found.values()]).toEqual(through.findings)
        const standing = through.house.stations.flatMap((one) => standingFindings(one)).map((f) => f.id)
        const open = through.findings.filter((f) => f.clearedAt === undefined).map((f) => f.id)
        expect(standing.sort()).toEqual(open.sort())
        for (const f of through.findings) kinds.add(`${f.kind} ${f.clearedAt === undefined ? 'stands' : 'ended'}`)
        if ((stationView(through.house, 0).undeclared ?? []).some((u) => u.to !== null)) kinds.add('waits')
      }),
      { numRuns: 30, seed: 11 },
    )
    for (const kind of ['burnout-found stands', 'burnout-found ended', 'waits']) expect(kinds).toContain(kind)
  })
})
