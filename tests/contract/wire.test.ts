/** What instruments say: the quick look at plain messages agrees with the schema, and every refusal says what, where and what to do. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { decodePublish, isPlain, WireReading } from '../../shared/contract/index.ts'

const key = fc.constantFrom(...Object.keys(WireReading.shape), '__proto__', 'colour', '')
const value = fc.oneof(
  fc.double(),
  fc.integer(),
  fc.constantFrom(-1, 0, 1.5, 8_640_000_000_000_000, 8_640_000_000_000_001, Number.NaN, Infinity),
  fc.string(),
  fc.boolean(),
  fc.constant(null),
  fc.constant([1]),
)

/** As JSON would make it: own keys only, `__proto__` among them. */
function objectOf(pairs: [string, unknown][]): unknown {
  const made = {}
  for (const [k, v] of pairs) Object.defineProperty(made, k, { value: v, enumerable: true, configurable: true })
  return made
}

describe('a message', () => {
  it('that looks plain is one that the schema takes as it is', () => {
    let plain = 0
    fc.assert(
      fc.property(fc.array(fc.tuple(key, value), { maxLength: 4 }), (pairs) => {
        const json = objectOf(pairs)
        if (!isPlain(json)) return
        plain++
        expect(WireReading.safeParse(json)).toMatchObject({ success: true, data: json as object })
      }),
      { numRuns: 5_000 },
    )
    expect(plain).toBeGreaterThan(50)
  })

  it('is plain in the usual case, and never where it is a list or nothing', () => {
    expect(isPlain({ at: 1_795_000_000_000, celsius: 93.4 })).toBe(true)
    for (const json of [[], [{ celsius: 1 }], null, 7, 'text']) expect(isPlain(json)).toBe(false)
  })

  it('that cannot be read says why, in one sentence', () => {
    const said = (text: string) => {
      const decoded = decodePublish('cirewatch/probe/reading', new TextEncoder().encode(text))
      return decoded.is === 'unreadable' ? decoded.reason : null
    }
    expect(said('{"celsius": "hot"}')).toMatch(/`celsius`.*"hot"/)
    expect(said('{"temperature": 21}')).toMatch(/temperature; known are/)
    expect(said('{"celsius": 21, "fahrenheit": 70}')).toMatch(/more than one unit/)
    expect(said('{"at": "yesterday", "celsius": 21}')).toMatch(/ISO 8601/)
    expect(said('{}')).toMatch(/holds no quantity/)
    expect(said('[]')).toMatch(/empty list/)
    expect(said('[{"at": 1, "celsius": 2}, {"celsius": 3}]')).toMatch(/Element 1 .*has no `at`/)
    expect(said('{"celsius": NaN}')).toMatch(/not JSON/)
  })
})
