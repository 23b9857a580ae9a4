/** Which backup is due and which may go, as laws over any list of moments. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { dueAt, surplus } from '../../gateway/upkeep/rotation.ts'
import type { BackupListed } from '../../shared/contract/index.ts'
import { hourMs } from '../../shared/time.ts'

const noon = Date.UTC(2026, 10, 25, 12)
const fileAt = (at: number): BackupListed => ({ name: `at ${at}`, at, bytes: 1 })

const hours = fc.integer({ min: -400, max: 48 })
const lists = fc.uniqueArray(hours, { maxLength: 30 }).map((all) => all.map((hour) => fileAt(noon + hour * hourMs)))
const keeps = fc.integer({ min: 1, max: 12 })

describe('rotation', () => {
  it('never takes away one of the newest that are to be kept, nor one from the future, and leaves exactly so many', () => {
    fc.assert(
      fc.property(lists, keeps, (list, keep) => {
        const gone = surplus(list, keep, noon)
        const past = list.filter(({ at }) => at <= noon)
        expect(gone.every(({ at }) => at <= noon)).toBe(true)
        expect(gone).toHaveLength(Math.max(0, past.length - keep))
        const newestGone = Math.max(Number.NEGATIVE_INFINITY, ...gone.map(({ at }) => at))
        const left = past.filter((one) => !gone.includes(one))
        expect(left.every(({ at }) => at > newestGone)).toBe(true)
        // What is left needs no second turn.
        expect(surplus(left, keep, noon)).toEqual([])
      }),
    )
  })

  it('takes the oldest away first', () => {
    fc.assert(
      fc.property(lists, keeps, (list, keep) => {
        const moments = surplus(list, keep, noon).map(({ at }) => at)
        expect(moments).toEqual(moments.toSorted((a, b) => a - b))
      }),
    )
  })
})

describe('what is due', () => {
  it('is a first backup at once, and the next so long after the newest', () => {
    expect(dueAt([], 24, noon)).toBe(noon)
    expect(dueAt([fileAt(noon - 30 * hourMs), fileAt(noon - 5 * hourMs)], 24, noon)).toBe(noon + 19 * hourMs)
  })

  it('is not put off by a backup that a wrong clock called after a day to come', () => {
    fc.assert(
      fc.property(lists, fc.integer({ min: 1, max: 744 }), (list, everyHours) => {
        expect(dueAt(list, everyHours, noon)).toBeLessThanOrEqual(noon + everyHours * hourMs)
        expect(dueAt(list, everyHours, noon)).toBe(
          dueAt(
            list.filter(({ at }) => at <= noon),
            everyHours,
            noon,
          ),
        )
      }),
    )
  })
})
