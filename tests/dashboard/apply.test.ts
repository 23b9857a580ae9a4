/** What the dashboard holds: the same whatever way the river was cut into frames, and never with a hole that nobody noticed. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { apply, type View } from '../../dashboard/feed/apply.ts'
import type { Alarm, Frame, LiveMessage, LivePoint } from '../../shared/contract/index.ts'
import { fakeNow, fakeWelcome } from '../helpers/fake-foundry.ts'

const clock = { now: fakeNow, pace: 1, known: true }
const series = ['w1-mid.temperature', 'k2-load.temperature', 'd1-a.humidity']

function begun(seq = 100): View {
  const applied = apply(null, fakeWelcome(seq))
  if (applied.is !== 'applied') throw new Error('a welcome must be taken')
  return applied.view
}

/** Takes messages in order; a gap throws, so that a test cannot miss it. */
function fold(view: View, messages: readonly LiveMessage[]): { view: View; points: Map<string, LivePoint[]> } {
  const points = new Map<string, LivePoint[]>()
  for (const message of messages) {
    const applied = apply(view, message)
    if (applied.is === 'gap') throw new Error(`gap at ${message.seq}`)
    view = applied.view
    if (applied.is === 'applied')
      for (const [id, some] of Object.entries(applied.points)) points.set(id, [...(points.get(id) ?? []), ...some])
  }
  return { view, points }
}

interface Drop {
  series: string
  point: LivePoint
}
const drop = fc.record({
  series: fc.constantFrom(...series),
  point: fc.tuple(
    fc.integer({ min: fakeNow - 60_000, max: fakeNow + 600_000 }),
    fc.integer({ min: 0, max: 900 }),
    fc.constantFrom(0, 1, 2),
    fc.integer({ min: 0, max: 5_000 }),
  ) as fc.Arbitrary<LivePoint>,
})
// One series never has two values for one instant on this line: the gateway keeps the second as a conflict.
const river = fc.uniqueArray(drop, { selector: (d) => `${d.series} ${d.point[0]}`, maxLength: 60 })

/** One frame for each piece of the river, cut after each of `cuts`. */
function framed(drops: readonly Drop[], cuts: readonly number[], from = 100): Frame[] {
  const edges = [...new Set([0, ...cuts.map((c) => Math.min(c, drops.length)), drops.length])].sort((a, b) => a - b)
  return edges.slice(1).map((end, i) => {
    const start = edges[i] as number
    const readings: Record<string, LivePoint[]> = {}
    for (const d of drops.slice(start, end)) readings[d.series] = [...(readings[d.series] ?? []), d.point]
    return { is: 'frame', after: from + start, seq: from + end, clock, readings }
  })
}

describe('the living view', () => {
  it('is the same for any cut of the same river into frames, with every point once', () => {
    fc.assert(
      fc.property(river, fc.array(fc.nat(60)), fc.array(fc.nat(60)), (drops, one, other) => {
        const a = fold(begun(), framed(drops, one))
        const b = fold(begun(), framed(drops, other))
        expect(a.view).toEqual(b.view)
        expect(a.points).toEqual(b.points)
        expect([...a.points.values()].flat()).toHaveLength(drops.length)
        expect(a.view.seq).toBe(100 + drops.length)
      }),
    )
  })

  it('takes a frame that comes twice only once', () => {
    fc.assert(
      fc.property(river, fc.array(fc.nat(60)), (drops, cuts) => {
        const frames = framed(drops, cuts)
        const once = fold(begun(), frames)
        const twice = fold(
          begun(),
          frames.flatMap((frame) => [frame, frame]),
        )
        expect(twice.view).toEqual(once.view)
        expect(twice.points).toEqual(once.points)
      }),
    )
  })

  it('notices every frame that is missing, wherever it was', () => {
    fc.assert(
      fc.property(river, fc.array(fc.nat(60)), fc.nat(), (drops, cuts, which) => {
        const frames = framed(drops, cuts)
        fc.pre(frames.length >= 2)
        const lost = which % (frames.length - 1)
        expect(() =>
          fold(
            begun(),
            frames.filter((_, i) => i !== lost),
          ),
        ).toThrow(/gap/)
      }),
    )
  })

  it('ends the same after a break at any place, resumed behind the last frame that came', () => {
    fc.assert(
      fc.property(river, fc.array(fc.nat(60)), fc.nat(), (drops, cuts, which) => {
        const frames = framed(drops, cuts)
        const broken = frames.length === 0 ? 0 : which % (frames.length + 1)
        const whole = fold(begun(), frames)
        const first = fold(begun(), frames.slice(0, broken))
        const head = 100 + drops.length
        const welcome = { ...fakeWelcome(first.view.seq), head, resumed: true, latest: [...whole.view.latest.values()] }
        const then = fold(first.view, [welcome, ...frames.slice(broken)])
        expect(then.view.seq).toBe(head)
        expect(then.view.latest).toEqual(whole.view.latest)
        expect(then.view.generation, 'charts need not be read anew').toBe(first.view.generation)
        const all = [...first.points.values(), ...then.points.values()].flat()
        expect(all).toHaveLength(drops.length)
      }),
    )
  })

  it('has charts read anew after a welcome that could not resume', () => {
    const before = begun()
    expect(fold(before, [fakeWelcome(900)]).view.generation).toBe(before.generation + 1)
  })

  it('asks for a welcome when a frame comes before it', () => {
    expect(apply(null, { is: 'frame', after: 0, seq: 1, clock }).is).toBe('gap')
  })

  it('keeps the newest measurement as the latest, though an older one arrives after it', () => {
    const late: LivePoint = [fakeNow - 50_000, 1, 0, 50_000]
    const newest: LivePoint = [fakeNow + 1_000, 95, 0, 10]
    const { view } = fold(
      begun(),
      framed(
        [
          { series: 'w1-mid.temperature', point: newest },
          { series: 'w1-mid.temperature', point: late },
        ],
        [1],
      ),
    )
    expect(view.latest.get('w1-mid.temperature')?.value).toBe(95)
  })

  it('drops an alarm that has become normal and keeps the others', () => {
    const [hot, quiet] = fakeWelcome(100).alarms as [Alarm, Alarm]
    const { view } = fold(begun(), [
      { is: 'frame', after: 100, seq: 101, clock, alarms: [{ ...hot, state: 'normal' }] },
    ])
    expect(view.alarms.has(hot.id)).toBe(false)
    expect(view.alarms.get(quiet.id)).toEqual(quiet)
  })

  it('does not let a frame that is sent again bring back an alarm the welcome no longer knows', () => {
    const [hot] = fakeWelcome(100).alarms as [Alarm]
    const held = begun()
    const welcome = { ...fakeWelcome(100), resumed: true, head: 103, alarms: [] }
    const again: Frame = {
      is: 'frame',
      after: 100,
      seq: 103,
      clock,
      alarms: [hot],
      readings: { 'k2-air.temperature': [[fakeNow + 5, 700, 0, 0]] },
    }
    const { view, points } = fold(held, [welcome, again])
    expect(view.alarms.size).toBe(0)
    expect(points.get('k2-air.temperature')).toHaveLength(1)
    const news: Frame = { is: 'frame', after: 103, seq: 103, clock, alarms: [hot] }
    expect(fold(view, [news]).view.alarms.has(hot.id)).toBe(true)
  })

  it('leaves what it held untouched, so that a page never shows half a change', () => {
    const held = begun()
    const copy = structuredClone(held)
    fold(held, framed([{ series: 'w1-mid.temperature', point: [fakeNow + 9, 1, 0, 0] }], []))
    expect(held).toEqual(copy)
  })

  it('asks anew when an instrument is claimed that may have been heard before it came, and only then', () => {
    const held = begun()
    const [first] = held.foundry.instruments
    if (!first) throw new Error('no instrument')
    const withNew = { ...held.foundry, instruments: [...held.foundry.instruments, { ...first, id: 'new-probe' }] }
    const frame = (foundry: View['foundry']): Frame => ({
      is: 'frame',
      after: 100,
      seq: 101,
      clock,
      foundry: { revision: 4, foundry },
    })
    expect(apply(held, frame(withNew)).is).toBe('gap')
    expect(apply(held, frame({ ...held.foundry })).is).toBe('applied')
    const view = {
      series: 'new-probe.temperature',
      value: 21,
      quality: 'good' as const,
      measuredAt: fakeNow,
      arrivedAt: fakeNow,
    }
    const heardIt = { ...held, latest: new Map([...held.latest, [view.series, view] as const]) }
    expect(apply(heardIt, frame(withNew)).is).toBe('applied')
  })
})
