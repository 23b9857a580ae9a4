/** What is said of a doubt: each kind has its sentence, its first look, and what it is not; nothing is claimed beyond the evidence. */
import { describe, expect, it } from 'vitest'
import { type Doubt, type DoubtKind, doubtKinds } from '../../shared/contract/index.ts'
import { doubtIsNot, doubtSays, doubtSentence, doubtTodo, type Speech } from '../../shared/words/index.ts'

const speech: Speech = {
  unit: 'C',
  timeZone: 'Europe/Paris',
  nameOf: (id) => ({ b: 'K2 air B', a: 'K2 air A' })[id] ?? id,
}
const since = Date.UTC(2026, 2, 2, 5, 10)

/** Every measure that any kind takes, so that a sentence that asks for one under a wrong name shows a hole. */
const measures: Record<DoubtKind, readonly (readonly [what: string, value: number])[]> = {
  emissivity: [['share above surroundings', 0.951]],
  'sees-metal': [['share above surroundings', 0.182]],
  'spot-too-large': [['share above surroundings', 0.62]],
  'sees-skin': [['below the wax by', 3.94]],
  blind: [['share above surroundings', 0.4]],
  'at-the-wall': [
    ['above the other by', 18.2],
    ['falls not shared', 3],
  ],
  'out-of-wax': [['below the other by', 61.4]],
  'in-solid': [['below the other by', 48.3]],
  'not-stirred': [['below the other by', 7.7]],
  ordering: [
    ['rose at rest by', 2.3],
    ['at rest for', 4.5],
    ['rest at', 401],
  ],
  ageing: [
    ['each firing by', -0.64],
    ['firings', 11],
    ['below its twin by', 9],
  ],
  moved: [['jumped by', -14.2]],
  reversed: [['slope against the other', -1.05]],
  'wrong-type': [
    ['off at the hottest by', 81],
    ['left over if it were type N', 2.4],
  ],
  'open-circuit': [['pinned at', 1_372]],
  stuck: [
    ['unchanged for', 42],
    ['the other moved', 7.2],
  ],
  'noise-vanished': [['noise ratio', 0.04]],
  'noise-exploded': [['noise ratio', 9.6]],
  'clock-apart': [['later by', -8.8]],
}

const doubtOf = (kind: DoubtKind, evidence = measures[kind]): Doubt => ({
  kind,
  instrument: 'b',
  against: 'a',
  since,
  evidence: evidence.map(([what, value]) => ({ what, value, unit: '' })),
  ruledOut: [],
})

describe('a doubt is said', () => {
  it.each(doubtKinds)('%s: whom, on what numbers, what to look at first and what it is not', (kind) => {
    const doubt = doubtOf(kind)
    const text = doubtSentence(doubt, speech, since + 3_600_000)
    expect(text).toContain('K2 air B')
    expect(text).toContain('Since 06:10.')
    expect(text).not.toMatch(/NaN|undefined|unknown time|unknown value|an unknown/)
    for (const part of [doubtSays(doubt, speech), doubtTodo(doubt, speech), doubtIsNot(doubt, speech)])
      expect(part).toMatch(/^\S.*\.$/)
    if (kind !== 'reversed' && kind !== 'blind') expect(doubtSays(doubt, speech)).toMatch(/\d|six|eleven/)
  })

  it('an ageing wire is told without a cause, and nobody is told to trim', () => {
    const doubt = doubtOf('ageing')
    expect(doubtSays(doubt, speech)).toBe(
      'K2 air B came to read 0.6 °C lower against K2 air A with each firing, over eleven firings; it now stands 9 °C below it. A kiln led by it would run hotter than shown.',
    )
    expect(doubtIsNot(doubt, speech)).toMatch(/^Cause not claimed: candidates are/)
    expect(doubtTodo(doubt, speech)).toContain('Do not trim its reading.')
  })

  it('a type that would fit is named, and only where one does', () => {
    expect(doubtSays(doubtOf('wrong-type'), speech)).toContain('(type N would fit)')
    expect(doubtSays(doubtOf('wrong-type', [['off at the hottest by', 81]]), speech)).not.toContain('would fit')
  })

  it('an open circuit is told by what was seen: pinned, silent alone, or without a value', () => {
    expect(doubtSays(doubtOf('open-circuit'), speech)).toContain('pinned at 1372 °C')
    expect(doubtSays(doubtOf('open-circuit', [['silent alone for', 95]]), speech)).toContain('nothing for 1 h 35 min')
    expect(doubtSays(doubtOf('open-circuit', [['without a value for', 4]]), speech)).toContain('no value for 4 min')
  })

  it('differences follow the unit of the listener', () => {
    expect(doubtSays(doubtOf('moved'), { ...speech, unit: 'F' })).toContain('25.6 °F lower')
  })
})
