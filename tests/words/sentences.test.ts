/** The words: every finding, alarm, run and station has a sentence that a person can act on. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type Alarm, type Finding, type FindingKind, findingKinds, stationKinds } from '../../shared/contract/index.ts'
import {
  alarmDue,
  alarmSentence,
  alarmSince,
  findingSays,
  findingSentence,
  foundryHeadline,
  moment,
  presentOf,
  runSentence,
  safetyWords,
  type Speech,
  speechOf,
  standingOf,
  stationNow,
  stationSentence,
} from '../../shared/words/index.ts'
import { fakeFoundry, fakeNow, fakeWelcome } from '../helpers/fake-foundry.ts'
import { facts } from './finding-facts.ts'

const minute = 60_000
const celsius = speechOf(fakeFoundry)
const fahrenheit = speechOf(fakeFoundry, 'F')

function findingsOf(kind: FindingKind): Finding[] {
  const base = {
    id: 'f',
    kind,
    subject: 'w1-mid',
    station: 'W1',
    instrument: 'w1-mid',
    since: fakeNow - 14 * minute,
    raisedAt: fakeNow - 13 * minute,
    raisedSeq: 4,
  }
  return facts[kind].map((one) => ({ ...base, facts: one }) as Finding)
}

const broken = /undefined|NaN|null|\[object|Infinity| {2}|\.\./

describe('a finding in words', () => {
  it.each(findingKinds)('%s says what is and what to do, in both units, standing and ended', (kind) => {
    for (const finding of findingsOf(kind))
      for (const speech of [celsius, fahrenheit]) {
        const standing = findingSentence(finding, speech)
        const ended = findingSentence({ ...finding, clearedAt: fakeNow }, speech)
        for (const sentence of [standing, ended]) {
          expect(sentence).not.toMatch(broken)
          expect(sentence).toMatch(/^[A-Z].*\.$/)
        }
        expect(standing.split('. ').length, 'what is, then what to do').toBeGreaterThanOrEqual(2)
        expect(ended).toContain('10:12')
        if (speech.unit === 'F') expect(standing + ended).not.toContain('°C')
      }
  })

  it('names the station as people name it, with the value and the limit', () => {
    expect(findingSays(findingsOf('above-ceiling')[0] as Finding, celsius)).toBe(
      'W1 detail pot went above its ceiling of 150 °C at 09:58 (152.3 °C at 09:59).',
    )
  })

  it('tells a difference in Fahrenheit without the offset of the scale', () => {
    expect(findingSentence(findingsOf('off-recipe')[0] as Finding, fahrenheit)).toContain(
      '39.6 °F below the 1292 °F ± 27 °F then asked for',
    )
  })

  it('says how a clock goes wrong, and which way', () => {
    const [ahead, behind] = findingsOf('clock-wrong').map((f) => findingSentence(f, celsius))
    expect(ahead).toContain('1 h 2 min ahead')
    expect(behind).toContain('2 min behind')
  })

  it('tells who sends its time in seconds what it must send instead', () => {
    const [finding] = findingsOf('clock-wrong')
    const inSeconds = { ...finding, facts: { offsetMs: -1_940_000_000_000, inSeconds: true } } as Finding
    expect(findingSays(inSeconds, celsius)).toBe(
      'W1 middle sends its time in seconds; it must be milliseconds or ISO 8601. Its readings are placed when they arrive.',
    )
  })

  it('shows the day of another day and the year of another year', () => {
    const [, quiet] = findingsOf('gone-quiet') as [Finding, Finding]
    const since = (lastAt: number) => findingSays({ ...quiet, facts: { ...quiet.facts, lastAt } } as Finding, celsius)
    expect(since(fakeNow - 26 * 60 * minute)).toContain('nothing since Tue 18 Nov 08:12.')
    expect(since(Date.UTC(1970, 0, 20, 18))).toContain('nothing since Tue 20 Jan 1970 19:00.')
    expect(moment(Date.UTC(2030, 10, 19, 9), fakeNow, celsius)).toBe('Tue 19 Nov 2030 10:00')
  })
})

describe('what stands beyond a limit', () => {
  const pot = fakeFoundry.stations.find((s) => s.id === 'W1')
  if (!pot) throw new Error('no pot')
  const heardOf = (valueC: number, ageMs: number, quality: 'good' | 'bad' = 'good') => {
    const measuredAt = fakeNow - ageMs
    const view = { series: 'w1-mid.temperature', value: valueC, quality, measuredAt, arrivedAt: measuredAt }
    return stationNow(fakeFoundry, pot, new Map([[view.series, view]]))
  }
  const told = (kind: FindingKind, valueC: number, ageMs: number, quality?: 'good' | 'bad') => {
    const [finding] = findingsOf(kind) as [Finding]
    return findingSays(finding, celsius, presentOf(finding, heardOf(valueC, ageMs, quality), fakeNow))
  }

  it('is told with its present value while that is fresh, and with its age when it is late', () => {
    expect(told('above-ceiling', 154, 2_000)).toBe(
      'W1 detail pot has been above its ceiling of 150 °C since 09:58, now at 154.0 °C.',
    )
    expect(told('above-ceiling', 154, 20_000)).toContain('since 09:58, at 154.0 °C 20 s ago.')
    expect(told('outside-window', 25.5, 2_000)).toContain('above 23.7 °C since 09:58, now at 25.5 °C.')
    expect(told('rising-too-fast', 131, 2_000)).toBe(
      'W1 detail pot has been rising faster than 3 °C a minute since 09:58, now at 131.0 °C.',
    )
  })

  it('is told as the past when nobody sees it any more', () => {
    expect(told('above-ceiling', 154, 8 * minute)).toBe(
      'W1 detail pot went above its ceiling of 150 °C at 09:58 (152.3 °C at 09:59); not seen since 10:04.',
    )
    expect(told('rising-too-fast', 114, 8 * minute)).toContain('rose faster than 3 °C a minute at 09:58')
    expect(told('above-ceiling', 154, 2_000, 'bad')).toContain('; its instrument cannot measure now.')
  })

  it('is not called beyond its limit by a value that is back', () => {
    expect(told('above-ceiling', 149, 2_000)).toBe(
      'W1 detail pot went above its ceiling of 150 °C at 09:58, now back at 149.0 °C.',
    )
  })

  it('never says in the present tense the value it was found at', () => {
    fc.assert(
      fc.property(
        fc.constantFrom<FindingKind>('above-ceiling', 'outside-window', 'rising-too-fast'),
        fc.integer({ min: 200, max: 900 }),
        fc.integer({ min: 0, max: 1_000_000 }),
        (kind, valueC, ageMs) => {
          const sentence = told(kind, valueC, ageMs)
          expect(sentence).not.toMatch(broken)
          expect(sentence).not.toMatch(/\bis\b|now at (152\.3|24\.1|114)/)
          expect(sentence.includes(' now at ')).toBe(ageMs <= 12_000)
        },
      ),
    )
  })

  it('is told, once ended, with its length and its worst', () => {
    const ended = (kind: FindingKind, more: object) => {
      const [finding] = findingsOf(kind) as [Finding]
      return findingSays(
        { ...finding, clearedAt: finding.since + 4 * minute, facts: { ...finding.facts, ...more } } as Finding,
        celsius,
      )
    }
    expect(ended('above-ceiling', { peakC: 162 })).toBe(
      'W1 detail pot was above its ceiling of 150 °C for 4 min, up to 162.0 °C, until 10:02.',
    )
    expect(ended('outside-window', { worst: 26.2 })).toContain('for 4 min, up to 26.2 °C, until 10:02.')
    expect(ended('outside-window', { side: 'below', worst: 18 })).toContain('below 20.3 °C for 4 min, down to 18.0 °C')
    expect(ended('above-ceiling', {})).toContain('for 4 min, found at 152.3 °C, until 10:02.')
  })
})

describe('an alarm in words', () => {
  const alarm = fakeWelcome(1).alarms[0] as Alarm

  it('ends with the first thing to do while it stands, and with what was when it has gone', () => {
    expect(alarmSentence(alarm, celsius)).toMatch(/isolate the pot at the wall; the lid stays on\.$/)
    expect(alarmSentence({ ...alarm, state: 'returned-unacknowledged' }, celsius)).not.toContain('isolate')
  })

  it('says by when to act, and says so too when that has passed', () => {
    expect(alarmDue(alarm, fakeNow, celsius)).toBe('by 10:14, in 2 min')
    expect(alarmDue(alarm, fakeNow + 10 * minute, celsius)).toBe('was due at 10:14, 8 min ago')
  })

  it('counts how often it came back, not how often it began', () => {
    const since = (times: number) => alarmSince({ ...alarm, times }, fakeNow, celsius)
    expect(since(1)).not.toContain('come back')
    expect(since(2)).toMatch(/, come back once$/)
    expect(since(4)).toMatch(/, come back 3 times$/)
  })

  it('has one end, that of its finding, although the gateway learnt of it later', () => {
    const clearedAt = alarm.finding.since + minute
    const over: Alarm = {
      ...alarm,
      state: 'returned-unacknowledged',
      returnedAt: clearedAt + 3 * minute,
      finding: { ...alarm.finding, clearedAt },
    }
    expect(alarmSince(over, fakeNow, celsius)).toBe('Since 10:09, until 10:10')
    expect(alarmSentence(over, celsius)).toContain('until 10:10.')
  })
})

describe('a station in words', () => {
  const latest = new Map(fakeWelcome(1).latest.map((s) => [s.series, s]))
  const views = new Map(fakeWelcome(1).stations.map((s) => [s.station, s]))
  const sentenceOf = (id: string, now = fakeNow, speech: Speech = celsius) => {
    const station = fakeFoundry.stations.find((s) => s.id === id)
    if (!station) throw new Error(id)
    const here = stationNow(fakeFoundry, station, latest)
    return {
      sentence: stationSentence(station, views.get(id), here, now, speech),
      standing: standingOf(views.get(id), here, now),
    }
  }

  it('speaks of trouble first, of blindness next, then of the run, and only then of calm', () => {
    expect(sentenceOf('W2')).toEqual({
      standing: 'act-now',
      sentence: 'Above its ceiling of 150 °C since 10:09, now at 153.8 °C.',
    })
    expect(sentenceOf('B1').sentence).toBe('Not seen since 09:22, for 50 min. It was at 79.9 °C then.')
    expect(sentenceOf('W1')).toEqual({ standing: 'normal', sentence: 'Coat 2 may go on now.' })
    expect(sentenceOf('K2').sentence).toBe('Holding at 700 °C: 47 min of 4 h credited by K2 air A and K2 load.')
    expect(sentenceOf('W3').sentence).toBe('Within its limits at 76.2 °C.')
  })

  it('never presents the past as the present: an hour of silence makes every station unseen', () => {
    for (const station of fakeFoundry.stations) {
      const { standing, sentence } = sentenceOf(station.id, fakeNow + 60 * minute)
      expect(['act-now', 'this-shift', 'unseen']).toContain(standing)
      expect(sentence).not.toMatch(/^Within|^At |may go on/)
    }
  })

  it('has a sentence without a hole in it for every station at every age and in both units', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...fakeFoundry.stations),
        fc.integer({ min: 0, max: 1_000_000_000 }),
        fc.boolean(),
        (station, age, inF) => {
          const { sentence } = sentenceOf(station.id, fakeNow + age, inF ? fahrenheit : celsius)
          expect(sentence).not.toMatch(broken)
          expect(sentence).toMatch(/\.$/)
        },
      ),
    )
  })

  it('shows as heard what came just before its instrument was claimed, though the judge has not met it yet', () => {
    const station = fakeFoundry.stations.find((s) => s.id === 'W3')
    if (!station) throw new Error('no station')
    const unmet = { station: 'W3', findings: [], runs: [], unseen: true }
    expect(stationSentence(station, unmet, stationNow(fakeFoundry, station, latest), fakeNow, celsius)).toBe(
      'Within its limits at 76.2 °C.',
    )
    expect(
      stationSentence(station, unmet, stationNow(fakeFoundry, station, latest), fakeNow + 5 * minute, celsius),
    ).toMatch(/^Not seen since 10:12/)
  })

  it('says that nothing has been heard of a station whose instruments never spoke', () => {
    const station = fakeFoundry.stations[0]
    if (!station) throw new Error('no station')
    expect(stationSentence(station, undefined, stationNow(fakeFoundry, station, new Map()), fakeNow, celsius)).toBe(
      'Nothing has been heard from it yet.',
    )
  })

  it('tells a coating what it waits for, and what is wrong when the wax has gone too cool', () => {
    const run = fakeWelcome(1).stations.find((s) => s.station === 'W1')?.runs[0]
    if (run?.progress.kind !== 'coating') throw new Error('no coating')
    const at = (temperatureC: number | null) =>
      runSentence(
        { ...run, progress: { ...run.progress, open: null, temperatureC } as typeof run.progress },
        fakeNow,
        celsius,
      )
    expect(at(99)).toBe('Coat 2 opens 2 °C further down, at 97 °C.')
    expect(at(90)).toBe('Too cool for coat 2: it needs 93–97 °C. Warm the wax.')
    expect(at(null)).toBe('The wax cannot be seen: no window can be called open.')
  })
})

describe('a drying in words', () => {
  it('names the least time only while it is still to come, and does not call it done', () => {
    const run = fakeWelcome(1).stations.find((s) => s.station === 'D2')?.runs[0]
    if (!run) throw new Error('no drying')
    expect(runSentence(run, fakeNow, celsius)).toBe('Drying for 3 h of at least 4 h; in band 100 % of the time seen.')
    expect(runSentence(run, fakeNow + 120 * minute, celsius)).toBe('Drying for 5 h; in band 100 % of the time seen.')
  })
})

describe('the headline of the foundry', () => {
  it('is calm when all is well', () => {
    expect(foundryHeadline(['normal', 'normal'], [])).toEqual({ first: 'All quiet.', behind: 'Two stations in order.' })
  })
  it('does not call a foundry all quiet while alarms wait to be seen', () => {
    const [, , gone] = fakeWelcome(1).alarms as [Alarm, Alarm, Alarm]
    const nine = Array.from({ length: 9 }, (_, i) => ({ ...gone, id: `a${i}` }))
    expect(foundryHeadline(['normal', 'normal'], nine)).toEqual({
      first: 'Quiet now. Nine alarms want to be seen.',
      behind: 'Two stations in order.',
    })
    expect(foundryHeadline(['normal'], [gone]).first).toBe('Quiet now. One alarm wants to be seen.')
  })
  it('does not call a foundry quiet that it cannot see', () => {
    expect(foundryHeadline(['normal', 'unseen'], []).first).toBe('Not everything can be seen.')
    expect(foundryHeadline(['unseen'], []).first).toBe('Nothing can be seen.')
    expect(foundryHeadline(['silent'], []).first).toBe('Nothing has been heard yet.')
  })
  it('puts what must be done now above everything else', () => {
    const alarms = fakeWelcome(1).alarms
    const { first, behind } = foundryHeadline(['act-now', 'this-shift', 'normal'], alarms)
    expect(first).toBe('One thing to do now.')
    expect(behind).toBe(
      'One thing to decide this shift, one alarm went by itself and nobody has seen it, one station in order.',
    )
  })
})

describe('cautions', () => {
  it('stand at every kind of station, and at wax they forbid water', () => {
    for (const kind of stationKinds) expect(safetyWords[kind].length).toBeGreaterThan(0)
    for (const kind of ['pot', 'bench-cup'] as const) expect(safetyWords[kind].join(' ')).toContain('never water')
  })
})
