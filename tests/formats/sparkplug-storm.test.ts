/** Bad weather between a node and the house: messages lost, doubled and swapped, births asked for and given with other aliases. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { SparkplugHost } from '../../gateway/intake/formats/sparkplug/host.ts'
import { rebirthAskMs, reorderMs } from '../../gateway/intake/formats/sparkplug/limits.ts'
import { seedOf } from '../storm/seed.ts'
import { type Announced, Edge, type Sent } from './edge.ts'

const start = 1_795_000_000_000
const names = ['A', 'B', 'C']

/** What happens to one message on its way. */
type Weather = 'fair' | 'lost' | 'doubled' | 'late'
interface Step {
  weather: Weather
  /** Which metric speaks; the last of each three is of the device. */
  metric: number
  afterMs: number
}

const weather = (fairness: number) =>
  fc.oneof(
    { weight: fairness, arbitrary: fc.constant<Weather>('fair') },
    { weight: 1, arbitrary: fc.constantFrom<Weather>('lost', 'doubled', 'late') },
  )
const steps = (fairness: number) =>
  fc.array(fc.record({ weather: weather(fairness), metric: fc.nat(2), afterMs: fc.integer({ min: 1, max: 3_000 }) }), {
    minLength: 20,
    maxLength: 400,
    size: 'max',
  })

/** A node of two metrics with a device of one. Every value is sent once, so that a reading can be traced to it. */
class Storm {
  readonly host = new SparkplugHost()
  readonly edge = new Edge('g', 'n', start)
  clock = start
  births = 0
  /** Whether every birth gives other aliases: then one taken for the alias of before shows. */
  readonly renames: boolean
  askedAt: number[] = []
  /** By value: what was sent, whether it was delivered, and whether it was said then that it could not be read. */
  readonly sent = new Map<number, { name: string; at: number; delivered: boolean; refused: boolean }>()
  readonly read = new Map<number, { instrument: string; at: number | null }>()
  unreadable = 0
  #value = 1

  constructor(renames = true) {
    this.renames = renames
  }
  #late: { message: Sent; values: number[]; steps: number }[] = []

  #alias(metric: number): number {
    return ((metric + (this.renames ? this.births : 0)) % names.length) + 1
  }
  #announced(metrics: number[]): { announced: Announced[]; values: number[] } {
    const values: number[] = []
    const announced = metrics.map((metric): Announced => {
      values.push(this.#newValue(metric))
      const properties = { engUnit: { type: 'String' as const, value: 'K' } }
      return {
        name: names[metric] ?? '',
        type: 'Double',
        value: values.at(-1) ?? 0,
        alias: this.#alias(metric),
        properties,
      }
    })
    return { announced, values }
  }
  #newValue(metric: number): number {
    const value = this.#value++
    this.sent.set(value, { name: names[metric] ?? '', at: this.clock, delivered: false, refused: false })
    return value
  }

  birth(how: Weather = 'fair'): void {
    this.births++
    const own = this.#announced([0, 1])
    this.#travel(this.edge.birth(own.announced), own.values, how)
    this.#tick(1)
    const device = this.#announced([2])
    this.#travel(this.edge.deviceBirth('d', device.announced), device.values, how)
  }

  step({ weather: how, metric, afterMs }: Step): void {
    this.#tick(afterMs)
    const value = this.#newValue(metric)
    const device = metric === 2 ? 'd' : null
    const metrics = [{ is: this.#alias(metric), type: 'Double' as const, value }]
    this.#travel(this.edge.data(device, metrics), [value], how)
  }

  #tick(ms: number): void {
    this.clock += ms
    this.edge.now = this.clock
    this.#hear(this.host.elapse(this.clock))
  }

  #travel(message: Sent, values: number[], how: Weather): void {
    if (how === 'late') this.#late.push({ message, values, steps: 2 })
    if (how === 'fair' || how === 'doubled') this.#deliver(message, values)
    if (how === 'doubled') this.#late.push({ message, values, steps: 3 })
    for (const one of this.#late) one.steps--
    const due = this.#late.filter((one) => one.steps <= 0)
    this.#late = this.#late.filter((one) => one.steps > 0)
    for (const one of due) this.#deliver(one.message, one.values)
  }

  #deliver({ topic, payload }: Sent, values: number[]): void {
    const understood = this.host.take(topic, payload, this.clock)
    const refused = understood.decoded.some(({ is }) => is === 'unreadable')
    for (const value of values) {
      const one = this.sent.get(value)
      if (one) Object.assign(one, { delivered: true, refused: one.refused || refused })
    }
    this.#hear(understood)
  }

  #hear({ decoded, say = [] }: ReturnType<SparkplugHost['take']>): void {
    for (const one of decoded) {
      if (one.is === 'unreadable') this.unreadable++
      if (one.is !== 'readings') continue
      for (const { at, values } of one.moments)
        for (const { value } of values) this.read.set(Math.round(value + 273.15), { instrument: one.instrument, at })
    }
    for (const { topic } of say) {
      expect(topic).toBe('spBv1.0/g/NCMD/n')
      this.askedAt.push(this.clock)
    }
  }

  /** The command takes a while; then the node is born again. */
  answer(how: Weather = 'fair'): void {
    this.#tick(50)
    this.birth(how)
  }
}

function instrumentOf(name: string): string {
  return name === 'C' ? 'g:n:d:C' : `g:n:${name}`
}

describe('a storm between a node and the house', () => {
  it('invents nothing, takes nothing for something else, and says of everything it cannot read that it cannot', () => {
    const seen = { lost: 0, read: 0, refused: 0, asked: 0 }
    fc.assert(
      fc.property(steps(3), weather(4), fc.boolean(), (journey, first, renames) => {
        const storm = new Storm(renames)
        storm.birth(first)
        let answered = 0
        for (const step of journey) {
          storm.step(step)
          if (storm.askedAt.length > answered) {
            answered = storm.askedAt.length
            // A lost birth with other aliases would leave the house with the old ones, and nothing to tell it.
            storm.answer(renames ? 'fair' : step.weather)
          }
        }
        for (const [value, { instrument, at }] of storm.read) {
          const sent = storm.sent.get(value)
          expect([instrument, at]).toEqual([instrumentOf(sent?.name ?? ''), sent?.at])
          expect(sent?.delivered).toBe(true)
        }
        const silent = [...storm.sent].filter(([value, one]) => one.delivered && !one.refused && !storm.read.has(value))
        expect(silent).toEqual([])
        storm.askedAt.forEach((at, i) => {
          if (i > 0) expect(at - (storm.askedAt[i - 1] ?? 0)).toBeGreaterThanOrEqual(rebirthAskMs)
        })
        seen.lost += [...storm.sent.values()].filter(({ delivered }) => !delivered).length
        seen.read += storm.read.size
        seen.refused += storm.unreadable
        seen.asked += storm.askedAt.length
      }),
      { numRuns: 300, seed: seedOf() },
    )
    // The weather was bad enough to be a proof.
    for (const [what, count] of Object.entries(seen)) expect(count, what).toBeGreaterThan(100)
  })

  it('ends: after it everything is read again, and a loss was asked about', () => {
    fc.assert(
      fc.property(steps(2), (journey) => {
        const storm = new Storm()
        storm.birth()
        for (const step of journey) storm.step(step)
        const lost = journey.some(({ weather: how }) => how === 'lost')
        // Whatever is missing when the last message comes is asked about within the times of waiting.
        for (let i = 0; i < 3; i++) storm.step({ weather: 'fair', metric: 0, afterMs: reorderMs + rebirthAskMs })
        if (lost) expect(storm.askedAt.length).toBeGreaterThan(0)
        storm.answer()
        const before = storm.unreadable
        for (let i = 0; i < 600; i++) storm.step({ weather: 'fair', metric: i % 3, afterMs: 100 })
        expect(storm.unreadable).toBe(before)
        const late = [...storm.sent].slice(-600)
        expect(late.every(([value]) => storm.read.has(value))).toBe(true)
      }),
      { numRuns: 60, seed: seedOf() },
    )
  })

  it('of swapped neighbours alone loses nothing and asks nobody', () => {
    fc.assert(
      fc.property(
        fc.array(fc.record({ metric: fc.nat(2), swapped: fc.boolean() }), { minLength: 10, maxLength: 300 }),
        (journey) => {
          const storm = new Storm()
          storm.birth()
          for (const { metric, swapped } of journey)
            storm.step({ weather: swapped ? 'late' : 'fair', metric, afterMs: 50 })
          for (let i = 0; i < 3; i++) storm.step({ weather: 'fair', metric: 0, afterMs: 50 })
          expect(storm.askedAt).toEqual([])
          expect(storm.unreadable).toBe(0)
          expect(storm.read.size).toBe(storm.sent.size)
        },
      ),
      { numRuns: 100, seed: seedOf() },
    )
  })
})
