/** A dry run and the keeping say the same, whatever is stored already and however a table runs to and fro. */
import fc from 'fast-check'
import { Temporal } from 'temporal-polyfill'
import { describe, expect, it } from 'vitest'
import { dateOf, dayBegins, nextDate } from '../../dashboard/pages/days.ts'
import { bringIn, dryRun, type Job } from '../../gateway/bring/bring.ts'
import { memoryStore } from '../../gateway/store/memory.ts'
import type { BringPlan, BringResult } from '../../shared/contract/index.ts'
import { guessed, inPieces, nobody, now } from './kit.ts'

const begin = Date.UTC(2026, 0, 1)
/** Few instants and few values, so that many lines meet. */
const lines = fc.array(fc.record({ minute: fc.nat(30), value: fc.nat(2) }), { minLength: 1, maxLength: 20 })

function table(rows: readonly { minute: number; value: number }[]): Uint8Array {
  const line = ({ minute, value }: { minute: number; value: number }) =>
    `${new Date(begin + minute * 60_000).toISOString()},${20 + value}`
  return Buffer.from(`time,temp C\n${rows.map(line).join('\n')}\n`)
}

const sums = ({ series }: BringResult) =>
  series.map(({ readings, stored, duplicates, conflicts }) => ({ readings, stored, others: duplicates + conflicts }))

describe('a dry run', () => {
  it('counts what is new exactly as keeping does, and nothing is new the second time', async () => {
    await fc.assert(
      fc.asyncProperty(lines, lines, async (before, rows) => {
        const store = memoryStore()
        const { plan } = guessed(table(rows), 'trial.csv')
        const job = (bytes: Uint8Array): Job => ({ plan, file: 'trial.csv', bytes: inPieces(bytes, 64), now })
        const keeping = { record: store.append.bind(store), ...nobody }
        await bringIn(job(table(before)), keeping, () => now)
        const tried = await dryRun(job(table(rows)), store.scan.bind(store))
        const kept = await bringIn(job(table(rows)), keeping, () => now)
        expect(sums(tried)).toEqual(sums(kept))
        // A conflict that was noted before is not noted again; a dry run cannot know that, and tells it.
        for (const conflict of kept.conflicts) expect(tried.conflicts).toContainEqual(conflict)
        const again = await bringIn(job(table(rows)), keeping, () => now)
        expect(sums(again)[0]).toMatchObject({ stored: 0 })
        await store.close()
      }),
      { numRuns: 150 },
    )
  })

  it('ends with one sentence where a quote is never closed, and says on which line', async () => {
    const text = `time,temp C\n2026-01-01 10:00,20\n2026-01-01 10:01,"21\n${'2026-01-01 10:02,22\n'.repeat(5_000)}`
    const plan: BringPlan = { ...guessed(Buffer.from('time,temp C\n2026-01-01 10:00,20\n'), 'q.csv').plan }
    const result = await dryRun(
      { plan, file: 'q.csv', bytes: inPieces(Buffer.from(text), 10_000), now },
      memoryStore().scan,
    )
    expect(result.stopped).toMatch(/^Line \d+ has more than 65536 letters, or a quote on it is never closed\.$/)
  })
})

describe('a day chosen for an export', () => {
  it('begins where it begins in the foundry, also when the clock changes', () => {
    const zones = fc.constantFrom('Europe/London', 'America/New_York', 'Asia/Kathmandu', 'Australia/Lord_Howe', 'UTC')
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 4_000 }), zones, (day, zone) => {
        const date = new Date(Date.UTC(2020, 0, 1) + day * 86_400_000).toISOString().slice(0, 10)
        const begins = Temporal.PlainDate.from(date).toZonedDateTime(zone).epochMilliseconds
        expect(dayBegins(date, zone)).toBe(begins)
        expect(dateOf(begins, zone)).toBe(date)
        expect(dateOf(begins - 1_000, zone)).not.toBe(date)
        expect(nextDate(date)).toBe(Temporal.PlainDate.from(date).add({ days: 1 }).toString())
      }),
      { numRuns: 500 },
    )
  })
})
