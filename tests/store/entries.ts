/** Invented entries for the store's tests: written out by hand, and drawn at random from a world small enough to collide in. */
import fc from 'fast-check'
import type { Finding, NewEntry } from '../../shared/contract/index.ts'

/** Noon of an invented day. */
export const noon = 1_750_000_000_000

type NewOf<K extends NewEntry['kind']> = Extract<NewEntry, { kind: K }>

export function reading(offsetMs: number, value: number, more: Partial<NewOf<'reading'>> = {}): NewOf<'reading'> {
  const measuredAt = noon + offsetMs
  return { kind: 'reading', at: measuredAt + 40, series: 'w1.temperature', measuredAt, value, quality: 'good', ...more }
}

export function unreadable(n: number): NewOf<'unreadable'> {
  return {
    kind: 'unreadable',
    at: noon + n,
    topic: 'cirewatch/w1/reading',
    reason: `Invented reason ${n}.`,
    bytes: n,
    payload: `{${n}`,
  }
}

export function fault(offsetMs: number, text: string): NewOf<'fault'> {
  return { kind: 'fault', at: noon + offsetMs + 40, instrument: 'w1', measuredAt: noon + offsetMs, text }
}

export function finding(
  id: string,
  since: number,
  more: Partial<Extract<Finding, { kind: 'instrument-fault' }>> = {},
): Finding {
  const facts = { text: 'open circuit' }
  return {
    id,
    kind: 'instrument-fault',
    subject: 'w1',
    station: 'pot-1',
    since,
    raisedAt: since + 10,
    raisedSeq: since - noon,
    facts,
    ...more,
  }
}

const series = fc.constantFrom('w1.temperature', 'w2.temperature', 'room.humidity')
const instant = fc.integer({ min: noon, max: noon + 12 })
const value = fc.oneof(fc.integer({ min: 90, max: 92 }), fc.double({ noNaN: true, noDefaultInfinity: true }))
const arrival = fc.integer({ min: noon, max: noon + 40 })

const aReading: fc.Arbitrary<NewEntry> = fc.record(
  {
    kind: fc.constant('reading' as const),
    at: arrival,
    series,
    measuredAt: instant,
    value,
    quality: fc.constantFrom('good' as const, 'uncertain' as const, 'bad' as const),
    reason: fc.constantFrom(
      'sensor-code' as const,
      'implausible' as const,
      'clock-wrong' as const,
      'said-by-instrument' as const,
    ),
    claimedAt: instant,
  },
  { requiredKeys: ['kind', 'at', 'series', 'measuredAt', 'value', 'quality'] },
)
const aNote: fc.Arbitrary<NewEntry> = fc.oneof(
  fc.record({
    kind: fc.constant('fault' as const),
    at: arrival,
    instrument: fc.constantFrom('w1', 'w2'),
    measuredAt: instant,
    text: fc.string(),
  }),
  fc.record({ kind: fc.constant('tick' as const), at: arrival }),
  fc.record({ kind: fc.constant('presence' as const), at: arrival, instrument: fc.string(), online: fc.boolean() }),
  fc.record({
    kind: fc.constant('conflict' as const),
    at: arrival,
    series,
    measuredAt: instant,
    kept: value,
    refused: value,
  }),
  fc.record({
    kind: fc.constant('unreadable' as const),
    at: arrival,
    topic: fc.string({ unit: 'grapheme' }),
    reason: fc.string(),
    bytes: fc.nat(),
    payload: fc.string({ unit: 'binary' }),
  }),
)

/** Several calls of append, each of several entries. */
export const batches: fc.Arbitrary<NewEntry[][]> = fc.array(
  fc.array(fc.oneof({ weight: 4, arbitrary: aReading }, { weight: 1, arbitrary: aNote }), { maxLength: 12 }),
  { maxLength: 8 },
)
