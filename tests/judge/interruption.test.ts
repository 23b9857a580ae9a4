/** Our own interruptions: a gateway that was away, or whose clock jumped, blames no instrument and is not blinded. */
import { describe, expect, it } from 'vitest'
import { noon, onePot, type Setting, Tale } from './tale.ts'

const p = 'p.temperature'
const pot = onePot([
  { kind: 'ceiling', aboveC: 150 },
  { kind: 'window', to: 100 },
])

function starts(tale: Tale, atS: number, downSinceS: number | null): void {
  tale.tell({
    kind: 'start',
    at: noon + atS * 1_000,
    downSince: downSinceS === null ? null : noon + downSinceS * 1_000,
  })
}

function steps(tale: Tale, atS: number, byS: number): void {
  tale.tell({ kind: 'clock-step', at: noon + atS * 1_000, byMs: byS * 1_000 })
}

describe('after the gateway was away', () => {
  it('an instrument has as much of its silence limit left as it had when the gateway went', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 90)
    tale.tick(10)
    starts(tale, 3_610, 10)
    tale.tick(3_611)
    expect(tale.standing()).toEqual([])
    expect(tale.due()).toBe(3_630)
    tale.tick(3_630)
    expect(tale.standing()).toEqual(['gone-quiet p'])
  })

  it('one that was already quiet is still quiet', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 90)
    tale.tick(30)
    starts(tale, 3_600, 30)
    expect(tale.standing()).toEqual(['gone-quiet p'])
  })

  it('a delay has not run on meanwhile', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 101)
    tale.reads(p, 10, 101)
    starts(tale, 3_600, 10)
    tale.tick(3_601)
    tale.reads(p, 3_605, 101)
    expect(tale.standing()).toEqual([])
    tale.readsOn(p, 3_615, 3_665, 10, () => 101)
    expect(tale.told('outside-window')).toEqual([{ since: 3_605, raised: 3_665, cleared: null }])
  })

  it('a first start changes nothing', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 90)
    starts(tale, 10, null)
    expect(tale.due()).toBe(30)
  })

  it('with a clock that stands earlier than before, the next hot reading is not taken for a late one', () => {
    const tale = new Tale(pot)
    tale.reads(p, 7_200, 90)
    starts(tale, 0, 7_201)
    tale.reads(p, 5, 160)
    expect(tale.standing()).toContain('above-ceiling p.temperature')
    expect(tale.due()).toBeLessThan(100)
  })
})

describe('after a step of our clock', () => {
  it('forward, nobody was silent for an hour, and no delay has run out', () => {
    const tale = new Tale(pot)
    tale.reads(p, 0, 101)
    tale.reads(p, 10, 101)
    steps(tale, 3_612, 3_600)
    tale.tick(3_613)
    expect(tale.standing()).toEqual([])
    expect(tale.due()).toBe(3_640)
  })

  it('back, a ceiling, a window and silence are judged at once and not an hour later', () => {
    const tale = new Tale(pot)
    tale.readsOn(p, 3_600, 3_660, 10, () => 90)
    steps(tale, 62, -3_600)
    expect(tale.due()).toBe(90)
    tale.reads(p, 70, 160)
    expect(tale.standing()).toContain('above-ceiling p.temperature')
    tale.readsOn(p, 80, 130, 10, () => 160)
    expect(tale.standing()).toContain('outside-window p.temperature')
    tale.tick(160)
    expect(tale.standing()).toContain('gone-quiet p')
  })

  it('makes no climb out of values that lie on both sides of it', () => {
    const tale = new Tale(onePot([{ kind: 'rise', cPerMinuteMax: 4 }]))
    tale.readsOn(p, 1_000, 1_120, 10, (s) => 60 + (s - 1_000) / 60)
    steps(tale, 1_112, -10)
    tale.readsOn(p, 1_115, 1_300, 10, (s) => 62 + (s - 1_110) / 60)
    expect(tale.told('rising-too-fast')).toEqual([])
  })

  it('back, a delay that was waiting does not wait for the old hour to come round again', () => {
    const drying = { kind: 'drying', id: 'd', name: 'd', temperature: { fromC: 80, toC: 100 } }
    const tale = new Tale({ ...pot, recipes: [drying] as unknown as NonNullable<Setting['recipes']> })
    tale.starts('r', 0, { kind: 'drying', station: 'P', recipe: 'd' })
    tale.readsOn(p, 3_600, 3_610, 10, () => 101)
    steps(tale, 12, -3_600)
    tale.readsOn(p, 20, 320, 10, () => 101)
    expect(tale.told('outside-window')).toEqual([{ since: 12, raised: 80, cleared: null }])
    expect(tale.told('outside-recipe-band')).toEqual([{ since: 12, raised: 320, cleared: null }])
  })

  it('back, a fault ends with the next good reading', () => {
    const tale = new Tale(pot)
    tale.faults('p', 3_600)
    steps(tale, 10, -3_600)
    tale.reads(p, 20, 90)
    expect(tale.standing()).toEqual([])
  })

  it('credits no soak across itself', () => {
    const setting: Setting = {
      stations: [{ id: 'K', name: 'Kiln', kind: 'kiln' }] as unknown as Setting['stations'],
      instruments: [{ id: 'k', name: 'Probe', kind: 'thermocouple', station: 'K', intervalS: 10 }],
      recipes: [
        { kind: 'burnout', id: 'b', name: 'b', startC: 700, segments: [{ kind: 'hold', minutes: 10 }] },
      ] as unknown as NonNullable<Setting['recipes']>,
    }
    const tale = new Tale(setting)
    tale.starts('r', 0, { kind: 'burnout', station: 'K', recipe: 'b' })
    tale.readsOn('k.temperature', 0, 60, 10, () => 700)
    steps(tale, 45, -20)
    tale.readsOn('k.temperature', 50, 70, 10, () => 700)
    expect(tale.progress('r', 'burnout').creditedMs).toBe(80_000)
  })
})
