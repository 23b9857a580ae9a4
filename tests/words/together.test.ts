/** What is read together: alarms of one cause under one heading, and a headline with the very thing to do about it. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Alarm, Finding, FindingKind } from '../../shared/contract/index.ts'
import {
  alarmGroups,
  groupSays,
  groupSeenWords,
  headlineFinding,
  speechOf,
  stationNow,
  stationSentence,
  todoOf,
} from '../../shared/words/index.ts'
import { fakeFoundry, fakeNow, fakeWelcome } from '../helpers/fake-foundry.ts'

const minute = 60_000
const celsius = speechOf(fakeFoundry)

describe('alarms that began together', () => {
  const [, quiet] = fakeWelcome(1).alarms as [Alarm, Alarm, Alarm]
  const at = (id: string, offsetMs: number, more: Partial<Alarm> = {}): Alarm => {
    const since = quiet.finding.since + offsetMs
    return {
      ...quiet,
      state: 'unacknowledged',
      id,
      ...more,
      finding: { ...quiet.finding, id, since, kind: more.kind ?? 'gone-quiet' } as Finding,
    }
  }

  it('stand under one heading with one button, as after a power cut', () => {
    const seven = Array.from({ length: 7 }, (_, i) => at(`q${i}`, i * 15_000))
    const groups = alarmGroups([...seven, at('later', 10 * minute)])
    expect(groups.map((g) => g.alarms.length).sort()).toEqual([1, 7])
    const group = groups.find((g) => g.alarms.length === 7)
    if (!group) throw new Error('no group')
    expect(groupSays(group, fakeNow, celsius)).toBe('Seven gone quiet between 10:03 and 10:05.')
    expect(groupSeenWords(group)).toBe('I have seen all seven')
    const [first, ...rest] = group.alarms as [Alarm, ...Alarm[]]
    expect(groupSeenWords({ ...group, alarms: [{ ...first, state: 'acknowledged' }, ...rest] })).toBe(
      'I have seen the other six',
    )
  })

  it('are never put together where it burns: each pot above its ceiling is looked at by itself', () => {
    const hot = { kind: 'above-ceiling' as const }
    expect(alarmGroups([at('a', 0, hot), at('b', 1_000, hot)]).map((g) => g.alarms.length)).toEqual([1, 1])
  })

  it('each appear once, whatever stands', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.nat(600_000), fc.constantFrom('gone-quiet', 'instrument-fault')), { maxLength: 20 }),
        (some) => {
          const alarms = some.map(([offset, kind], i) => at(`a${i}`, offset, { kind: kind as FindingKind }))
          const groups = alarmGroups(alarms)
          expect(groups.flatMap((g) => g.alarms.map((a) => a.id)).sort()).toEqual(alarms.map((a) => a.id).sort())
          for (const { kind, alarms: those } of groups) {
            const since = those.map((a) => a.finding.since)
            expect(Math.max(...since) - Math.min(...since)).toBeLessThanOrEqual(2 * minute)
            expect(those.every((a) => a.kind === kind)).toBe(true)
          }
        },
      ),
    )
  })
})

describe('what to do first', () => {
  const base = { station: 'W1', raisedSeq: 4, tier: 'this-shift' as const }
  const rise: Finding = {
    ...base,
    id: 'f-rise',
    kind: 'rising-too-fast',
    subject: 'w1-mid.temperature',
    instrument: 'w1-mid',
    since: fakeNow - 5 * minute,
    raisedAt: fakeNow - 5 * minute,
    facts: { cPerMinute: 6, cPerMinuteMax: 4, valueC: 114 },
  }
  const quiet: Finding = {
    ...base,
    id: 'f-gone',
    kind: 'gone-quiet',
    subject: 'w1-mid',
    instrument: 'w1-mid',
    since: fakeNow - 4 * minute,
    raisedAt: fakeNow - 4 * minute,
    facts: { lastAt: fakeNow - 5 * minute, silenceMs: 30_000, saidOffline: false },
  }
  const alarmOf = (finding: Finding, action: string): Alarm => ({
    id: finding.id,
    kind: finding.kind,
    station: finding.station,
    subject: finding.subject,
    state: 'unacknowledged',
    raisedAt: finding.raisedAt,
    times: 1,
    finding,
    answer: { tier: 'this-shift', consequence: 'None.', action, respondMinutes: 15 },
  })
  const riseAlarm = alarmOf(rise, 'Heat off at the wall, lid on.')
  const quietAlarm = alarmOf(quiet, 'Check its power and its network.')
  const station = fakeFoundry.stations.find((s) => s.id === 'W1')
  if (!station) throw new Error('no station')
  const here = stationNow(fakeFoundry, station, new Map(fakeWelcome(1).latest.map((s) => [s.series, s])))

  it('is always of the finding in the headline, never of another one that stands beside it', () => {
    for (const findings of [
      [rise, quiet],
      [quiet, rise],
    ])
      for (const alarms of [
        [riseAlarm, quietAlarm],
        [quietAlarm, riseAlarm],
      ]) {
        const view = { station: 'W1', findings, runs: [], unseen: false }
        const sentence = stationSentence(station, view, here, fakeNow, celsius)
        const headline = headlineFinding(view, here, fakeNow)
        if (!headline) throw new Error('no headline')
        const todo = todoOf(headline, alarms, celsius)
        expect(todo).toBe(/ris|rose/i.test(sentence) ? riseAlarm.answer.action : quietAlarm.answer.action)
      }
  })

  it('comes from the finding itself where its alarm is not known, not from the alarm beside it', () => {
    expect(todoOf(rise, [quietAlarm], celsius)).toBe('Look whether its heat cuts off.')
  })

  it('still belongs to its finding after the condition came back under another id', () => {
    expect(todoOf({ ...rise, id: 'f-rise-2' }, [quietAlarm, riseAlarm], celsius)).toBe(riseAlarm.answer.action)
  })
})
