/** The dip board in words: it says what can be told, why the rest cannot, and never that somebody may dip. */
import { describe, expect, it } from 'vitest'
import type { DipBoardItem } from '../../shared/contract/index.ts'
import { hourMs, minuteMs } from '../../shared/time.ts'
import {
  dipBoardSays,
  dipWindowSays,
  drynessAt,
  drynessAuthorises,
  drynessBecause,
  drynessSays,
  speechOf,
} from '../../shared/words/index.ts'
import { foundry } from '../night/material.ts'

const speech = speechOf(foundry)
const now = Date.parse('2026-06-11T01:00:00Z')
const item: DipBoardItem = {
  run: 'r',
  station: 'D',
  piece: 'Heron, wing',
  recipe: 'backup',
  startedAt: now - 5 * hourMs,
  startedBy: 'Asha',
  earliestAt: null,
  latestAt: null,
  probe: 'wax',
  probes: ['wax'],
  verdict: 'not-yet',
  unknown: null,
  drySince: null,
  recovery: 0.81,
  width: 0.06,
  left: 0.21,
  dryShare: 0.05,
  forecast: { at: now + 2 * hourMs, lowAt: now + 90 * minuteMs, highAt: now + 3 * hourMs },
  taught: 3,
  power: { soFar: 31.4, coverage: 1, usual: null },
  weighings: [],
  indicator: null,
}

describe('a batch', () => {
  it('is told by its water and its time', () => {
    expect(drynessSays(item, now, speech)).toBe(
      'Not dry yet: about 21 % of its water is left; dry about 04:00, between 03:30 and 05:00 four times in five',
    )
    expect(drynessSays({ ...item, verdict: 'dry', drySince: now - hourMs, left: 0.02 }, now, speech)).toBe(
      'Dry since 01:00, as far as can be told',
    )
    const unknown = { ...item, verdict: 'cannot-tell', unknown: 'no-depression', forecast: null } as const
    expect(drynessSays(unknown, now, speech)).toBe(
      'Nobody can tell: the air is too damp: air and wet bulb lie too close together',
    )
  })

  it('is asked for an hour, and answers by its range', () => {
    expect(drynessAt(item, now + hourMs)).toBe('not-yet')
    expect(drynessAt(item, now + 2 * hourMs)).toBe('perhaps')
    expect(drynessAt(item, now + 4 * hourMs)).toBe('dry')
    expect(drynessAt({ ...item, forecast: null }, now + 4 * hourMs)).toBe('unknown')
  })

  it('says what it is told from, and which word is the weaker', () => {
    expect(drynessBecause(item, now, speech)).toEqual([
      'Recovery of Test piece is 81 %, give or take 6 %; three weighed nights say what that means.',
      'Drying power so far 31 °C·h; nobody has said yet at how much a batch of this recipe was dry. That is the weaker word.',
    ])
  })

  it('is too late where its recipe says so', () => {
    expect(dipWindowSays({ ...item, latestAt: now - 2 * hourMs }, now, speech)).toBe(
      'Longer than its recipe allows, by 2 h: a prime that dried too long lifts.',
    )
    expect(dipWindowSays({ ...item, earliestAt: now + hourMs }, now, speech)).toBe('By its recipe not before 03:00.')
    expect(dipWindowSays(item, now, speech)).toBeNull()
  })
})

describe('the board', () => {
  it('says in one line how many are dry, and never that anybody may dip', () => {
    const board = (items: DipBoardItem[]) => dipBoardSays({ now, readTo: now, items, everyMs: minuteMs })
    const dry = { ...item, verdict: 'dry', drySince: now } as const
    expect(board([])).toBe('Nothing is drying, as far as anybody said.')
    expect(board([dry, item, { ...item, verdict: 'cannot-tell', unknown: 'unseen' }])).toBe(
      'One batch is dry as far as can be told; one is not yet; of one batch nobody can tell.',
    )
    expect(board([item])).toBe('One batch is not dry yet.')
    expect(drynessAuthorises).toContain('authorises no dip and no pour')
  })
})
