/** The last line of `npm test`: whatever goes wrong, it never says that all is well. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { leftOut } from '../run/outside.mjs'
import { add, lastLine, nothing, verdictOf } from '../run/verdict.mjs'

const report = (...files: { status: string; states: string[] }[]): string =>
  JSON.stringify({
    testResults: files.map(({ status, states }) => ({ status, assertionResults: states.map((s) => ({ status: s })) })),
  })

describe('the last line', () => {
  it('says passed and failed, and left out only if something was', () => {
    expect(lastLine({ passed: 12, failed: 0, skipped: 0 })).toBe('12 passed, 0 failed')
    expect(lastLine({ passed: 12, failed: 1, skipped: 3 })).toBe('12 passed, 1 failed, 3 skipped')
  })

  it('counts every test of every file once', () => {
    const text = report(
      { status: 'passed', states: ['passed', 'passed', 'skipped'] },
      { status: 'failed', states: ['failed', 'passed'] },
    )
    expect(verdictOf(text, 1)).toEqual({ passed: 3, failed: 1, skipped: 1 })
  })

  it('counts a file that could not be loaded as a failure', () => {
    expect(
      verdictOf(report({ status: 'failed', states: [] }, { status: 'passed', states: ['passed'] }), 1).failed,
    ).toBe(1)
  })

  it.each([
    ['there is no report', null, 0],
    ['the report is torn', '{"testResults": [', 0],
    ['not one test ran', report(), 0],
    ['all passed but vitest itself was unhappy', report({ status: 'passed', states: ['passed'] }), 1],
  ])('tells of a failure when %s', (_, text, code) => {
    expect(verdictOf(text, code).failed).toBe(1)
  })

  it('adds up in any order', () => {
    const verdict = fc.record({ passed: fc.nat(), failed: fc.nat(), skipped: fc.nat() })
    fc.assert(
      fc.property(fc.array(verdict), (all) => {
        expect(all.reduce(add, nothing)).toEqual([...all].reverse().reduce(add, nothing))
      }),
    )
  })
})

describe('tests that a person leaves out', () => {
  it('are named', () => {
    expect(leftOut('browser, broker')).toEqual(['browser', 'broker'])
    expect(leftOut(undefined)).toEqual([])
  })

  it('are not left out by a slip of the pen', () => {
    expect(() => leftOut('browsers')).toThrow(
      'CIREWATCH_TEST_WITHOUT knows browser, broker, tracer; it says "browsers".',
    )
  })
})
