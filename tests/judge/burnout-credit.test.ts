/** The credited-soak ledger against an independent counter of half seconds, over random profiles; and worked by hand. */
import { describe, expect, it } from 'vitest'
import type { HoldLedger } from '../../shared/contract/index.ts'
import { byMeasurement, emptyHouse } from '../../shared/judge/index.ts'
import { noon, type Setting, Tale } from './tale.ts'

const minute = 60
const targetC = 700
const toleranceC = 10
const maximumC = 725
const intervalS = 20
const silenceS = 70
const spanS = 3 * 3_600
const askedMinutes = 10_000

function kiln(probes: readonly string[], minutes = askedMinutes): Setting {
  return {
    stations: [{ id: 'K', name: 'Kiln', kind: 'kiln' }] as unknown as Setting['stations'],
    instruments: probes.map((id, i) => ({
      id,
      name: id,
      kind: 'thermocouple',
      station: 'K',
      intervalS,
      silenceS,
      place: i === 0 ? 'kiln-air' : 'kiln-load',
    })),
    recipes: [
      {
        kind: 'burnout',
        id: 'b',
        name: 'b',
        startC: targetC,
        segments: [{ kind: 'hold', minutes, toleranceC, governs: 'all' }],
        maximumC,
      },
    ] as unknown as NonNullable<Setting['recipes']>,
  }
}

/** Repeatable chance (mulberry32). */
function chance(seed: number): () => number {
  let a = seed
  return () => {
    a = (a + 0x6d2b79f5) | 0
    let t = Math.imul(a ^ (a >>> 15), 1 | a)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296
  }
}

interface Said {
  s: number
  v: number
  good: boolean
}

/** A load that lags, an air that overshoots, dips as of a door, holes, and values that must not be believed. */
function profile(random: () => number, isLoad: boolean): Said[] {
  const startC = isLoad ? 560 + 130 * random() : 680 + 40 * random()
  const tau = isLoad ? 600 + 3_000 * random() : 120
  const over = isLoad ? 0 : 45 * random()
  const dips = Array.from({ length: Math.floor(4 * random()) }, () => ({
    at: spanS * random(),
    deep: 60 * random(),
    long: 60 + 900 * random(),
  }))
  const holes = Array.from({ length: Math.floor(3 * random()) }, () => ({ at: spanS * random(), long: 900 * random() }))
  const noise = 2.5 * random()
  const out: Said[] = []
  for (let s = Math.floor(intervalS * random()); s < spanS; s += intervalS * (0.7 + 0.6 * random())) {
    if (holes.some((h) => s >= h.at && s < h.at + h.long)) continue
    const settled =
      targetC + 4 - (targetC - startC) * Math.exp(-s / tau) + over * Math.exp(-s / 1_200) * Math.sin(s / 300)
    const dip = dips.reduce((sum, d) => sum + (s > d.at ? d.deep * Math.exp(-(s - d.at) / d.long) : 0), 0)
    out.push({ s: Math.round(s * 1_000) / 1_000, v: settled - dip + noise * (random() - 0.5), good: random() > 0.01 })
  }
  return out
}

/** Independent and simple: every half second is looked at by itself. */
function counted(all: readonly Said[][], toS: number): number {
  const step = 0.5
  const at = all.map(() => 0)
  let credited = 0
  for (let s = step / 2; s < toS; s += step) {
    const isIn = all.every((said, i) => {
      while ((at[i] as number) + 1 < said.length && (said[(at[i] as number) + 1] as Said).s <= s)
        at[i] = (at[i] as number) + 1
      const [a, b] = [said[at[i] as number], said[(at[i] as number) + 1]]
      if (!a || !b || a.s > s || !a.good || !b.good || b.s - a.s > silenceS) return false
      const v = a.v + ((s - a.s) / (b.s - a.s)) * (b.v - a.v)
      return v >= targetC - toleranceC && v <= maximumC
    })
    if (isIn) credited += step
  }
  return credited
}

function told(
  probes: readonly string[],
  all: readonly Said[][],
  order: 'interleaved' | 'apart',
  random: () => number,
): Tale {
  const tale = new Tale(kiln(probes))
  tale.starts('r', 0, { kind: 'burnout', station: 'K', recipe: 'b' })
  const entries = all.flatMap((said, i) => said.map((one) => ({ ...one, probe: probes[i] as string })))
  // Apart: each probe keeps what it has for up to half an hour and tells it in one go.
  const delay = (s: number) => (order === 'apart' ? 1_800 * Math.ceil((s + 1) / 1_800) - s : 0)
  const shift = new Map(probes.map((p) => [p, random() * 0.4]))
  entries.sort(
    (a, b) =>
      a.s + delay(a.s) + (shift.get(a.probe) as number) - (b.s + delay(b.s) + (shift.get(b.probe) as number)) ||
      a.s - b.s,
  )
  for (const { s, v, good, probe } of entries)
    tale.reads(`${probe}.temperature`, s, v, { lateS: delay(s), ...(good ? {} : { quality: 'bad' as const }) })
  return tale
}

function ledger(tale: Tale): HoldLedger {
  const one = tale.house.stations[0]?.runs[0]?.burnout?.walk.ledgers[0]
  if (!one) throw new Error('There is no ledger.')
  return one
}

describe('credited minutes', () => {
  it('are those of an independent counter to one sample, over 320 random profiles with holes, dips, lag and overshoot', () => {
    let [most, some] = [0, 0]
    for (let seed = 1; seed <= 320; seed++) {
      const random = chance(seed)
      const probes = ['air', 'load', 'core'].slice(0, 1 + (seed % 3))
      const all = probes.map((_, i) => profile(random, i > 0))
      const one = ledger(told(probes, all, 'interleaved', random))
      const toS = Math.min(...all.map((said) => said.at(-1)?.s ?? 0))
      const apart = Math.abs(one.creditedMs / 1_000 - counted(all, toS))
      most = Math.max(most, apart)
      if (one.creditedMs > 0 && one.refusedSums.length > 0) some++
      // Every millisecond is counted or refused, none twice.
      const refused = one.refusedSums.reduce((sum, r) => sum + r.ms, 0)
      expect(one.creditedMs + refused, `profile ${seed}`).toBeCloseTo(toS * 1_000, 3)
    }
    expect(most).toBeLessThan(intervalS)
    expect(some, 'profiles in which something is counted and something refused').toBeGreaterThan(200)
  }, 60_000)

  it('do not depend on the order of arrival: told at once, in half hours, or read again afterwards', () => {
    for (let seed = 401; seed <= 440; seed++) {
      const probes = ['air', 'load', 'core'].slice(0, 1 + (seed % 3))
      const all = probes.map((_, i) => profile(chance(seed * 7 + i), i > 0))
      const live = told(probes, all, 'interleaved', chance(seed))
      const late = told(probes, all, 'apart', chance(seed))
      const until = noon + 2 * spanS * 1_000
      const again = (tale: Tale) =>
        byMeasurement(emptyHouse(), tale.journal, until).house.stations[0]?.runs[0]?.burnout?.walk.ledgers
      expect(ledger(late), `profile ${seed}`).toEqual(ledger(live))
      expect(JSON.stringify(again(late))).toBe(JSON.stringify(again(live)))
      expect(again(live)?.[0]).toEqual(ledger(live))
    }
  }, 60_000)
})

describe('the ledger, worked by hand', () => {
  const probes = ['air', 'load']
  const begin = (minutes = askedMinutes) => {
    const tale = new Tale(kiln(probes, minutes))
    tale.starts('r', 0, { kind: 'burnout', station: 'K', recipe: 'b' })
    return tale
  }
  const both = (tale: Tale, s: number, air: number, load: number) => {
    tale.reads('air.temperature', s, air)
    tale.reads('load.temperature', s, load)
  }

  it('tells each stretch, counted or refused, with its reason and its probe', () => {
    const tale = begin()
    both(tale, 0, 700, 680)
    // 680 to 700 °C in 60 s passes 690 after 30 s.
    both(tale, 60, 700, 700)
    both(tale, 120, 700, 700)
    // 700 to 740 °C passes the maximum of 725 after 25/40 of the minute: 37.5 s.
    both(tale, 180, 740, 700)
    both(tale, 240, 740, 700)
    const s = (ms: number) => (ms - noon) / 1_000
    expect(ledger(tale).stretches.map((x) => [s(x.from), s(x.to), x.refused, x.probe])).toEqual([
      [0, 30, 'too-cool', 'load'],
      [30, 157.5, null, null],
      [157.5, 240, 'too-hot', 'air'],
    ])
    expect(ledger(tale).creditedMs).toBe(127_500)
    expect(ledger(tale).refusedSums).toEqual([
      { refused: 'too-cool', probe: 'load', ms: 30_000 },
      { refused: 'too-hot', probe: 'air', ms: 82_500 },
    ])
  })

  it('ends the hold at the very instant at which all of it is credited, between two samples', () => {
    const tale = begin(2)
    both(tale, 0, 700, 680)
    both(tale, 60, 700, 700)
    both(tale, 120, 700, 700)
    expect(tale.progress('r', 'burnout').segment).toBe(0)
    both(tale, 180, 700, 700)
    // Credited from 30 s on: two minutes are full at 150 s.
    expect(tale.progress('r', 'burnout')).toMatchObject({ segment: 1, segmentSince: noon + 150_000 })
    expect(ledger(tale)).toMatchObject({ to: noon + 150_000, creditedMs: 120_000 })
  })

  it('stands still when the load probe dies, says so, and goes on with the probe that a person appoints', () => {
    const three = new Tale({ ...kiln(['air', 'load', 'spare']) })
    three.starts('r', 0, { kind: 'burnout', station: 'K', recipe: 'b' })
    const say = (s: number, load: number | null, spare: number) => {
      three.reads('air.temperature', s, 700)
      three.reads('spare.temperature', s, spare)
      if (load !== null) three.reads('load.temperature', s, load)
    }
    for (let s = 0; s <= 600; s += 60) say(s, 700, 700)
    expect(ledger(three).creditedMs).toBe(600_000)
    for (let s = 660; s <= 1_800; s += 60) say(s, null, 700)
    three.tick(1_801)
    expect(three.progress('r', 'burnout').stands).toMatchObject({ refused: 'unseen', probe: 'load' })
    expect(three.standing()).toContain('soak-paused r')
    three.tell({
      kind: 'act',
      act: 'run-step',
      run: 'r',
      step: { step: 'appoint', instead: 'load', probe: 'spare' },
      by: 'Bo',
      at: noon + 1_810_000,
    })
    for (let s = 1_860; s <= 2_400; s += 60) say(s, null, 700)
    // Credited again from the appointment on, not before: 2,400 − 1,810 s.
    expect(ledger(three).creditedMs).toBeCloseTo(600_000 + 590_000, 3)
    expect(ledger(three).refusedSums).toEqual([{ refused: 'unseen', probe: 'load', ms: 1_210_000 }])
    expect(three.progress('r', 'burnout').appointed).toMatchObject([{ instead: 'load', probe: 'spare', by: 'Bo' }])
  })

  it('never lets air stand in for load: a kiln without a probe in its load credits nothing', () => {
    const tale = new Tale(kiln(['air']))
    const foundry = kiln(['air'])
    const recipe = (foundry.recipes as Record<string, unknown>[])[0] as Record<string, unknown>
    tale.setUp(
      {
        ...foundry,
        recipes: [
          { ...recipe, id: 'l', segments: [{ kind: 'hold', minutes: 10, toleranceC, governs: 'load' }] },
        ] as never,
      },
      0,
    )
    tale.starts('r', 0, { kind: 'burnout', station: 'K', recipe: 'l' })
    tale.readsOn('air.temperature', 0, 30 * minute, 60, () => 700)
    expect(tale.progress('r', 'burnout')).toMatchObject({ creditedMs: 0, segment: 0, temperatureC: null })
    expect(tale.progress('r', 'burnout').stands).toMatchObject({ refused: 'missing' })
  })
})
