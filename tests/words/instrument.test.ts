/** What the pages of instruments say: how sure, when due, how far apart, and never more than is known. */
import { describe, expect, it } from 'vitest'
import {
  apartSays,
  checkSays,
  dueSays,
  instrumentsSay,
  lifeSays,
  mappingSays,
  metAs,
  offSays,
  plusMinus,
  signed,
  sits,
  type Speech,
  sureSays,
  toldSays,
  unitSays,
} from '../../shared/words/index.ts'

const now = Date.UTC(2031, 10, 19, 9)
const day = 86_400_000
const speech: Speech = { unit: 'C', timeZone: 'UTC', nameOf: (id) => ({ a: 'Air A', b: 'Air B' })[id] ?? id }
const fahrenheit: Speech = { ...speech, unit: 'F' }

describe('an instrument in words', () => {
  it('says where it sits, in the words of the trade and in the house’s own', () => {
    expect(sits({ place: 'wax-middle', position: 'off the wall' })).toBe('In the wax, at mid-depth · off the wall')
    expect(sits({})).toBe('')
  })

  it('says how sure it is and on whose word, and that a class speaks of new wire only', () => {
    const calibrations = [{ at: Date.UTC(2031, 3, 14), points: [{ readsC: 0, isC: 0, uC: 0 }] }]
    expect(sureSays({ sureness: { expandedC: 0.42, from: 'check' }, calibrations }, speech)).toEqual({
      figure: '± 0.42 °C',
      word: 'by its calibration of 14 April 2031',
    })
    expect(sureSays({ sureness: { expandedC: 2.5, from: 'class' }, toleranceClass: 'iec-2' }, speech).word).toBe(
      'by its class, IEC 60584 class 2: of new wire only',
    )
    expect(sureSays({ sureness: { expandedC: null, from: 'unknown' } }, speech)).toEqual({
      figure: 'Not known',
      word: 'no check, no class',
    })
  })

  it('tells an uncertainty without an offset in either unit', () => {
    expect(plusMinus(0.5, speech)).toBe('± 0.50 °C')
    expect(plusMinus(0.5, fahrenheit)).toBe('± 0.90 °F')
    expect(plusMinus(10, fahrenheit)).toBe('± 18 °F')
  })

  it('says that a check is overdue and for how long, or when it is due, or that none is asked for', () => {
    expect(dueSays({ dueAt: now - 12.5 * day, checkedAt: now - 100 * day }, now, speech)).toEqual({
      isOverdue: true,
      says: 'by twelve days, last checked 11 August 2031',
    })
    expect(dueSays({ dueAt: now + 20 * day, checkedAt: null }, now, speech)).toEqual({
      isOverdue: false,
      says: 'Tue 9 Dec, never checked',
    })
    expect(dueSays({ dueAt: null, checkedAt: null }, now, speech).says).toBe('No check is asked for')
  })

  it('counts the doubted and the overdue in one headline', () => {
    const doubt = { kind: 'stuck', instrument: 'a', since: now, evidence: [], ruledOut: [] } as const
    expect(
      instrumentsSay(
        [
          { doubts: [doubt], dueAt: now - 1 },
          { doubts: [], dueAt: null },
        ],
        now,
      ),
    ).toEqual({
      first: 'One instrument of 2 is doubted.',
      behind: 'One check is overdue, one instrument has no date for a check.',
    })
    expect(instrumentsSay([{ doubts: [], dueAt: now + 1 }], now)).toEqual({
      first: 'No instrument is doubted.',
      behind: '',
    })
  })

  it('says too low where it reads below what is, and nothing of a difference that cannot be seen', () => {
    expect(offSays(-0.6, speech)).toBe('reads 0.6 °C too low')
    expect(offSays(0.5, fahrenheit)).toBe('reads 0.9 °F too high')
    expect(offSays(0.04, speech)).toBe('reads as it is')
    expect(signed(-9, speech)).toBe('−9.0 °C')
    expect(signed(0.01, speech)).toBe('±0.0 °C')
  })

  it('tells a check with its doubt', () => {
    expect(checkSays({ reference: 'ice-point', readsC: 0.4, isC: 0, uC: 0.15 }, speech)).toBe(
      'Against ice point: read 0.4 °C where it was 0.0 °C, ± 0.30 °C.',
    )
  })

  it('tells a drift from its first to its last firing, and no course from one', () => {
    const row = (firing: number, differenceC: number) => ({ firing, against: 'a', bandC: 700, differenceC })
    expect(apartSays([row(1, -2), row(11, -9)], speech)).toBe(
      'Against Air A at about 700 °C: −2.0 °C in firing 1, −9.0 °C in firing 11. 7 °C further apart than at first.',
    )
    expect(apartSays([row(1, -2), row(2, -2.2)], speech)).toContain('It keeps its distance.')
    expect(apartSays([row(3, -2)], speech)).toContain('One firing tells no course.')
    expect(apartSays([], speech)).toBe('It has no twin to be held against yet.')
  })

  it('tells hours and passes in the heat in the viewer’s unit, and nothing where there were none', () => {
    const [above, between] = lifeSays(
      { firings: 11, hoursAbove800: 12.4, passes250to550: 22, hoursAt250to550: 131 },
      'K',
      fahrenheit,
    )
    expect(above).toMatch(/^Eleven firings, 12 h above 1472 °F\./)
    expect(between).toMatch(/^22 passes through 482–1022 °F, 131 h in it\./)
    expect(
      lifeSays({ firings: 1, hoursAbove800: 12.4, passes250to550: 2, hoursAt250to550: 1 }, 'S', speech).join(),
    ).not.toContain('type K')
    expect(lifeSays({ firings: 0, hoursAbove800: 0, passes250to550: 0, hoursAt250to550: 0 }, 'K', speech)).toEqual([])
  })
})

describe('a guess in words', () => {
  it('is said as what it looks like, with the other unit where that could be meant as well', () => {
    expect(unitSays(21.5, 'celsius', null)).toBe('Looks like °C: 21.5 is a room’s temperature.')
    expect(unitSays(70.7, 'celsius', 'fahrenheit')).toBe(
      'Looks like °C: 70.7 is a wax pot’s temperature. In °F it would be a room’s temperature (21.5 °C): look which it is.',
    )
    expect(unitSays(295, 'kelvin', null)).toContain('295, 21.9 °C, is a room’s temperature')
    expect(metAs(2_000)).toBe('no temperature of this trade')
  })

  it('asks about a room that says °C and would be right in °F, and converts nothing', () => {
    expect(toldSays('temperature', 70.7, 'climate', speech)).toContain('70.7 °F would be 21.5 °C')
    expect(toldSays('temperature', 21.5, 'climate', speech)).toBe('It says 21.5 °C: a room’s temperature.')
    expect(toldSays('temperature', 105, 'thermocouple', speech)).toBe('It says 105.0 °C: a wax pot’s temperature.')
  })

  it('reads a mapping aloud', () => {
    const values = [
      { pointer: '/t', unit: 'celsius' as const },
      { pointer: '/h', unit: 'relativeHumidity' as const },
    ]
    expect(mappingSays({ topic: 'a/b', instrument: 'a-b', values, time: { pointer: '/at', as: 'iso' } })).toBe(
      'Takes /t as °C and /h as % humidity, /at as its time, and calls the instrument a-b.',
    )
    expect(mappingSays({ topic: 'a', instrument: 'a', values: [{ pointer: '', unit: 'kelvin' }] })).toBe(
      'Takes the whole message as K, and calls the instrument a.',
    )
  })
})
