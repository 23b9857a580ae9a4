/** The brief of a night: it says what was seen, and never more. */
import { describe, expect, it } from 'vitest'
import { nightReview } from '../../gateway/record/night/review.ts'
import type { NightMaterial } from '../../gateway/record/night/material.ts'
import type { NamedCause, NightPiece, NightReview } from '../../shared/contract/index.ts'
import { minuteMs } from '../../shared/time.ts'
import {
  becauseSays,
  causeSays,
  comparedSays,
  isTouched,
  nightBrief,
  nightLength,
  nightName,
  outageSays,
  pieceSays,
  speechOf,
} from '../../shared/words/index.ts'
import { at, dusk, everyMinute, foundry, materialOf, noon, seriesOf, type Told } from '../night/material.ts'

const speech = speechOf(foundry)

function night(air: readonly Told[], change: Partial<NightMaterial> = {}): NightReview {
  const humid = air.map(({ t }) => ({ t, v: 45 }))
  return nightReview(materialOf([seriesOf('air', 'temperature', air), seriesOf('air', 'humidity', humid)], change))
}
const steady = (t: number) => 22 + ((t / minuteMs) % 5) * 0.01
/** Beyond 24 °C for two hours, from so many hours after noon. */
const warm = (from: number) => (t: number) => (t >= at(from) && t < at(from + 2) ? 26 : steady(t))
const briefOf = (review: NightReview) => nightBrief(review, speech)

describe('the brief', () => {
  it('of a night that was seen and quiet says so, and that nothing is left to do', () => {
    expect(briefOf(night(everyMinute(steady)))).toEqual([
      'Quiet night: Dry room was in band.',
      'Nothing happened in the rooms that needs a name.',
      'Nothing is left to do.',
    ])
  })

  it('of a night that was half seen says neither that it was quiet, nor that nothing happened, nor that nothing is left', () => {
    const half = everyMinute(steady).filter(({ t }) => t < at(9) || t > at(16))
    const [first, second, third] = briefOf(night(half))
    expect(first).toBe('Nobody can say whether it was quiet: of Dry room only 50 % of the dark hours was seen.')
    expect([second, third]).not.toContain('Nothing happened in the rooms that needs a name.')
    expect([second, third]).not.toContain('Nothing is left to do.')
  })

  it('of a night that has not begun, or goes on, speaks of no more than has been', () => {
    const before = night(everyMinute(steady, noon, at(3)), { now: at(3) })
    expect(briefOf(before)).toEqual([
      'The night has not begun; dusk is at 17:30.',
      'What the rooms did by day stands below.',
      'Nothing that was seen asks for anybody.',
    ])
    const during = night(everyMinute(steady, noon, at(10)), { now: at(10) })
    const [first, , third] = briefOf(during)
    expect(first).toBe('Quiet night so far: Dry room was in band.')
    expect(third).toBe('Nothing that was seen asks for anybody.')
  })

  it('tells when it was over with the quiet, how long and how far, and what is not known of it', () => {
    const [first] = briefOf(night(everyMinute(warm(9))))
    expect(first).toMatch(/^Quiet until 20:59, when Dry room temperature left its band for 2 h \(highest 26\.0 °C\)\.$/)
    const [duskward] = briefOf(night(everyMinute(warm((dusk - noon) / 3_600_000 - 1))))
    expect(duskward).toMatch(/^Not quiet from the beginning: /)
  })

  it('counts an excursion with the rest of them, and short ones are no disturbance', () => {
    const short = (t: number) => (t >= at(9) && t < at(9, 5) ? 26 : steady(t))
    expect(briefOf(night(everyMinute(short)))[0]).toMatch(/^Quiet night: longest excursion [56] min\.$/)
  })

  it('without a room says that there is nothing to review', () => {
    const none = { ...foundry, stations: foundry.stations.filter((s) => s.kind !== 'dry-room') }
    const [first, second, third] = briefOf(nightReview(materialOf([], { foundry: none })))
    expect(first).toBe('No dry room is watched: there is nothing to review.')
    expect(second).not.toContain('Nothing happened')
    expect(third).not.toBe('Nothing is left to do.')
  })
})

const piece: NightPiece = {
  run: 'r',
  piece: 'Fresh prime 4',
  recipe: 'backup',
  startedAt: noon,
  startedBy: 'Maren',
  closedAt: null,
  closedBy: null,
  standsMs: 600 * minuteMs,
  seenMs: 600 * minuteMs,
  inBandMs: 600 * minuteMs,
  swingC: null,
  swingProbe: null,
  swingLimitC: 1.7,
}

describe('a piece', () => {
  it('of which nothing was seen is neither in band nor well', () => {
    const unseen = { ...piece, seenMs: 0, inBandMs: 0 }
    expect(pieceSays(unseen, speech)).toBe('nothing of it was seen')
    expect(isTouched(unseen)).toBe(true)
  })

  it('is told by what is known of it', () => {
    expect(pieceSays(piece, speech)).toBe('in band all the time')
    expect(isTouched(piece)).toBe(false)
    const out = { ...piece, inBandMs: 588 * minuteMs }
    expect(pieceSays(out, speech)).toBe('out of band for 12 min')
    expect(isTouched(out)).toBe(true)
    const gap = { ...piece, seenMs: 565 * minuteMs, inBandMs: 565 * minuteMs }
    expect(pieceSays(gap, speech)).toBe('in band all the time that was seen; unseen for 35 min')
    expect(isTouched(gap)).toBe(true)
  })

  it('whose wax came closer to the air than the house allows is told in the unit of the reader', () => {
    const swung = { ...piece, swingC: 2.04 }
    expect(pieceSays(swung, speech)).toContain('wax up to 2 °C above what it was at the dip, of 1.7 °C allowed')
    expect(pieceSays(swung, speechOf(foundry, 'F'))).toContain('wax up to 3.6 °F above')
    expect(isTouched(swung)).toBe(true)
  })
})

describe('a cause', () => {
  const cause: NamedCause = {
    kind: 'dehumidifier',
    from: at(10),
    to: null,
    confidence: 'likely',
    evidence: [
      { is: 'dew-point-ramp', value: 0.82 },
      { is: 'temperature-flat', value: 0.1 },
    ],
    ruledOut: [{ kind: 'cooling', because: { is: 'temperature-flat', value: 0.1 } }],
    recoveryMinutes: null,
  }

  it('is told with how sure it is, what speaks for it, and what it was not', () => {
    expect(causeSays(cause, 'D', speech)).toBe('probably the dehumidifier of Dry room did not run from 22:00 on')
    expect(becauseSays(cause, speech)).toBe(
      'The dew point went on rising by 0.8 °C an hour and the air moved by 0.1 °C only. Not the cooling (the air moved by 0.1 °C only).',
    )
    const restarted = { ...cause, evidence: [...cause.evidence, { is: 'after-power-cut', value: 0 } as const] }
    expect(causeSays(restarted, 'D', speech)).toContain('did not start again after the power cut')
  })
})

describe('beside it', () => {
  it('nights are compared in plain numbers', () => {
    const told = { nights: 30, quieter: 5, usualMs: 20 * minuteMs, thisMs: 60 * minuteMs }
    expect(comparedSays(told)).toBe(
      'Noon to noon out of band for 1 h; usual is for 20 min. Five of the last 30 nights were quieter.',
    )
  })

  it('a night is named by both its days, and its length is said where the clocks changed', () => {
    const review = night(everyMinute(steady))
    expect(nightName(review.night, speech)).toBe('Night of Wed 10 Jun to Thu 11 Jun')
    expect(nightLength(review.night)).toBeNull()
    expect(nightLength({ from: 0, to: 25 * 60 * minuteMs })).toBe('This night has 25 hours: the clocks changed.')
  })

  it('an outage tells what came later apart from what is not known', () => {
    const outage = {
      from: at(9),
      to: at(10),
      isGateway: false,
      instruments: [
        { instrument: 'air', isBackfilled: true },
        { instrument: 'wax', isBackfilled: false },
      ],
    }
    expect(outageSays(outage, speech)).toBe(
      'two instruments silent from 21:00 to 22:00 (1 h): Air kept and sent later; of Test piece nothing is known',
    )
  })
})
