/** The sentence of the bench: what may be done now, or in how many minutes, and never more than is known. */
import { describe, expect, it } from 'vitest'
import type { CoatingView, PotView, Reach, Run, WindowOutlook } from '../../shared/contract/index.ts'
import { benchWord, inMinutes, minutesLeft } from '../../shared/words/index.ts'
import { recipe } from '../judge/pot-kit.ts'

const now = Date.parse('2026-03-03T09:00:00Z')
const minute = 60_000
const speech = { unit: 'C', timeZone: 'UTC', nameOf: (id: string) => id } as const
const reaches = (at: number, earliest = at, latest = at): Reach => ({
  is: 'reaches',
  at: now + at * minute,
  earliest: now + earliest * minute,
  latest: now + latest * minute,
})
const never: Reach = { is: 'never', why: 'held' }

function windowOf(coat: string, more: Partial<WindowOutlook>): WindowOutlook {
  return { coat, wax: 'above', opens: never, shuts: never, stays: null, ...more }
}
function potOf(more: Partial<PotView>): PotView {
  return {
    phase: 'cooling',
    waxC: 101.2,
    cPerMinute: -0.4,
    heating: null,
    recipe: { id: 'w', revision: 1 },
    windows: [],
    trail: [],
    conditioning: { is: 'conditioned', since: now },
    ceiling: null,
    waxHours: 3,
    batchSince: now,
    onSince: now,
    ...more,
  }
}
function runOf(more: Partial<CoatingView>): Run {
  const progress: CoatingView = {
    kind: 'coating',
    temperatureC: 101.2,
    done: [],
    asked: ['one', 'two', 'slush'],
    open: null,
    openIn: null,
    next: 'two',
    ...more,
  }
  return {
    id: 'r',
    kind: 'coating',
    station: 'P',
    recipe: 'w',
    revision: 1,
    startedAt: now,
    startedBy: 'Ana',
    declared: false,
    progress,
  }
}
const bench = (view: PotView, run?: Run) => benchWord(run, recipe, [{ id: 'P', name: 'Build pot', view }], now, speech)

describe('the bench', () => {
  it('counts minutes down and never says none while there are seconds left', () => {
    expect([0, 1, 59_999, 60_000, 60_001, -5].map((ms) => minutesLeft(now + ms, now))).toEqual([0, 1, 1, 1, 2, 0])
    expect(inMinutes(reaches(4, 3, 6) as Extract<Reach, { is: 'reaches' }>, now)).toBe('4 min (3–6)')
    expect(inMinutes(reaches(4) as Extract<Reach, { is: 'reaches' }>, now)).toBe('4 min')
  })

  it('says when the next coat opens, with its range, and how long it stays open', () => {
    const window = windowOf('two', { opens: reaches(4, 3, 6), stays: { ms: 7 * minute, leastMs: 0, mostMs: 0 } })
    expect(bench(potOf({ windows: [window] }), runOf({}))).toMatchObject({
      says: 'Two opens in 4 min (3–6) and stays open about 7 min.',
      tone: 'calm',
    })
  })

  it('says that it may go on now and for how long, from which pot', () => {
    const window = windowOf('two', { wax: 'in', opens: { is: 'there' }, shuts: reaches(5, 4, 7) })
    expect(bench(potOf({ waxC: 95, windows: [window] }), runOf({ open: 'two', openIn: 'P' }))).toMatchObject({
      says: 'Two may go on now, for 5 min (4–7) more.',
      tone: 'now',
    })
  })

  it('asks to wait while the last coat is soft, and to look where it has gone cold', () => {
    const wait = { earliestAt: now + 2 * minute, latestAt: null }
    expect(bench(potOf({}), runOf({ wait })).says).toBe('Wait 2 min: the last coat is still soft.')
    const late = { earliestAt: null, latestAt: now - minute }
    const window = windowOf('two', { wax: 'in', opens: { is: 'there' } })
    expect(bench(potOf({ windows: [window] }), runOf({ wait: late, open: 'two', openIn: 'P' })).aside).toMatch(
      /cold by now/,
    )
  })

  it('never pretends: a held pot, an unseen one, one of which nobody can say', () => {
    const letDown = [windowOf('two', { opens: reaches(12, 9, 16) })]
    expect(bench(potOf({ phase: 'held', windows: [windowOf('two', {})], letDown }), runOf({})).says).toBe(
      'Build pot is held. Switched off now, two would open in 12 min (9–16).',
    )
    expect(bench(potOf({ waxC: null, windows: [windowOf('two', { wax: null })] }), runOf({}))).toMatchObject({
      tone: 'wrong',
    })
    const unknown = windowOf('two', { opens: { is: 'cannot-tell', why: 'disturbed' } })
    expect(bench(potOf({ windows: [unknown] }), runOf({}))).toMatchObject({
      says: 'Nobody can say yet when two opens.',
      aside: expect.stringMatching(/^Something was just done to it/),
    })
    expect(bench(potOf({ waxC: 90, windows: [windowOf('two', { wax: 'below' })] }), runOf({})).says).toBe(
      'Too cool for two: warm the wax.',
    )
  })

  it('says a pot that runs away before all else', () => {
    const view = potOf({
      ceiling: { ceilingC: 150, at: now + 14 * minute },
      windows: [windowOf('two', { wax: 'in', opens: { is: 'there' } })],
    })
    expect(bench(view, runOf({ open: 'two', openIn: 'P' }))).toMatchObject({
      says: 'Build pot does not stop: 150 °C in 14 min.',
      tone: 'wrong',
    })
  })

  it('without a run tells whether the wax is conditioned', () => {
    expect(bench(potOf({ conditioning: { is: 'holding', since: now, readyAt: now + 8 * minute } })).says).toBe(
      'Build pot is conditioned in 8 min.',
    )
    expect(bench(potOf({ conditioning: { is: 'stir', since: now } }))).toMatchObject({
      says: 'Stir Build pot: then it is conditioned.',
      tone: 'now',
    })
    expect(bench(potOf({ conditioning: { is: 'not-melted' } })).says).toBe('Build pot has not melted through.')
  })
})
