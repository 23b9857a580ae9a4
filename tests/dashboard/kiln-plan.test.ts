/** What a kiln's page asks where nobody has said which burnout it is: when it began, and which recipe. */
import { describe, expect, it } from 'vitest'
import { burnoutRecipes, timeAround } from '../../dashboard/pages/kiln-plan.ts'
import { undeclaredSays } from '../../shared/words/index.ts'
import { Foundry } from '../../shared/contract/index.ts'

const hour = 3_600_000
const offset = hour
/** Ten past midnight in a zone an hour ahead of UTC. */
const found = Date.UTC(2026, 2, 1, 23, 10)

describe('a time that puts another one right', () => {
  it('is the nearest of that clock time, also across midnight', () => {
    expect(timeAround('00:25', found, offset)).toBe(found + 15 * 60_000)
    expect(timeAround('23:50', found, offset)).toBe(found - 20 * 60_000)
    expect(timeAround(' 6:10 ', found, offset)).toBe(found + 6 * hour)
  })

  it('is none where no time was typed', () => {
    for (const typed of ['', '24:00', '12:60', 'noon', '1210']) expect(timeAround(typed, found, offset)).toBeNull()
  })
})

describe('the recipes it may be', () => {
  it('are those of burnouts, each once in its newest revision, by name', () => {
    const burnout = (id: string, name: string, revision: number) => ({
      kind: 'burnout',
      id,
      name,
      revision,
      segments: [{ kind: 'hold', minutes: 10 }],
    })
    const foundry = Foundry.parse({
      site: { name: 'Invented', timeZone: 'UTC', elevationM: 0 },
      stations: [],
      instruments: [],
      recipes: [
        burnout('z', 'Moulds', 2),
        burnout('z', 'Old moulds', 1),
        burnout('a', 'Flash', 1),
        { kind: 'drying', id: 'd', name: 'Dry', temperature: { fromC: 20, toC: 24 } },
      ],
    })
    expect(burnoutRecipes(foundry).map((r) => `${r.name} ${r.revision}`)).toEqual(['Flash 1', 'Moulds 2'])
  })
})

describe('what is said above them', () => {
  const speech = { unit: 'C', timeZone: 'UTC', nameOf: (id: string) => id } as const
  it('tells since when, how hot, and until when where it is over', () => {
    const one = { from: found, to: null, fromC: 20, topC: 151.2 }
    expect(undeclaredSays(one, found + hour / 2, speech)).toBe(
      'A burnout nobody said, since 23:10, up to 151.2 °C so far.',
    )
    expect(undeclaredSays({ ...one, to: found + 10 * hour }, found + 11 * hour, speech)).toBe(
      'A burnout nobody said, from Sun 1 Mar 23:10 to 09:10, up to 151.2 °C.',
    )
  })
})
