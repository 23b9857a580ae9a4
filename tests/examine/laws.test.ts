/** Laws of the examiner: what was handed out is never changed, it survives JSON anywhere, it stays small, and what it cannot use changes nothing. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Quantity } from '../../shared/contract/index.ts'
import {
  type Examination,
  type ExaminedStation,
  examineFault,
  examineReading,
  examineTime,
  newExamination,
} from '../../shared/judge/examine/index.ts'
import { air, load } from './kilns.ts'
import { infrared, probe } from './pots.ts'
import { beginAt } from './workbench.ts'

const pot: ExaminedStation = { kind: 'pot', instruments: [probe('mid', 'wax-middle'), infrared('ir')] }
const kiln: ExaminedStation = { kind: 'kiln', instruments: [air('a'), air('b'), load] }

function frozen<T>(value: T): T {
  if (typeof value === 'object' && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value)
    for (const part of Object.values(value)) frozen(part)
  }
  return value
}

interface Step {
  instrument: number
  afterMs: number
  value: number
  what: 'reading' | 'time' | 'fault'
}

const steps = fc.array(
  fc.record({
    instrument: fc.integer({ min: 0, max: 2 }),
    afterMs: fc.oneof(
      { weight: 20, arbitrary: fc.constantFrom(5_000, 10_000, 30_000) },
      { weight: 1, arbitrary: fc.integer({ min: -90_000, max: 40_000_000 }) },
    ),
    value: fc.oneof(
      { weight: 20, arbitrary: fc.double({ min: 15, max: 900, noNaN: true }) },
      { weight: 1, arbitrary: fc.constantFrom(Number.NaN, Infinity, -127, 32_767, 1_372, -270) },
    ),
    what: fc.constantFrom<Step['what']>('reading', 'reading', 'reading', 'reading', 'time', 'fault'),
  }),
  { minLength: 50, maxLength: 400 },
)

function taken(station: ExaminedStation, exam: Examination, step: Step, t: number): Examination {
  const i = step.instrument % station.instruments.length
  if (step.what === 'time') return examineTime(station, exam, t)
  if (step.what === 'fault') return examineFault(station, exam, i, t)
  return examineReading(station, exam, i, 'temperature', t, step.value)
}

function all(station: ExaminedStation, list: readonly Step[], between: (e: Examination) => Examination): Examination {
  let [exam, t] = [newExamination(station), beginAt]
  for (const step of list) {
    t += step.afterMs
    exam = between(taken(station, exam, step, t))
  }
  return exam
}

describe('the examination', () => {
  it('never changes what it handed out', () => {
    fc.assert(
      fc.property(steps, fc.constantFrom(pot, kiln), (list, station) => {
        all(station, list, frozen)
      }),
      { numRuns: 30 },
    )
  })

  it('is plain data: put away as JSON and taken out again at any place, it goes on the same', () => {
    fc.assert(
      fc.property(steps, fc.constantFrom(pot, kiln), (list, station) => {
        const straight = all(station, list, (exam) => exam)
        const put = all(station, list, (exam) => JSON.parse(JSON.stringify(exam)) as Examination)
        expect(put).toEqual(straight)
      }),
      { numRuns: 30 },
    )
  })

  it('stays within some kB an instrument, however long it runs', () => {
    let exam = newExamination(pot)
    for (let s = 0; s < 12 * 86_400; s += 5) {
      const waxC = 70 + 40 * Math.sin(s / 9_000)
      exam = examineReading(pot, exam, 0, 'temperature', beginAt + s * 1_000, waxC + ((s * 7_919) % 11) / 100)
      exam = examineReading(pot, exam, 1, 'temperature', beginAt + s * 1_000, 0.9 * waxC + ((s * 104_729) % 13) / 100)
    }
    expect(JSON.stringify(exam).length).toBeLessThan(2 * 8_000)
  })

  it('takes no notice of what is late, of quantities it does not know and of instruments that are not there', () => {
    const begun = examineReading(pot, newExamination(pot), 0, 'temperature', beginAt, 90)
    expect(examineReading(pot, begun, 0, 'temperature', beginAt, 91)).toBe(begun)
    expect(examineReading(pot, begun, 0, 'temperature', beginAt - 5_000, 91)).toBe(begun)
    expect(examineReading(pot, begun, 7, 'temperature', beginAt + 5_000, 91)).toBe(begun)
    expect(examineReading(pot, begun, -1, 'temperature', beginAt + 5_000, 91)).toBe(begun)
    for (const quantity of ['air-speed', 'contact', 'current', 'emf', 'junction', 'pressure'] satisfies Quantity[])
      expect(examineReading(pot, begun, 0, quantity, beginAt + 5_000, 1)).toBe(begun)
  })

  it('doubts an instrument that says for two minutes that it cannot measure, and not one that says it once', () => {
    const once = examineFault(pot, newExamination(pot), 0, beginAt)
    expect(once.doubts).toEqual([])
    const again = examineFault(pot, once, 0, beginAt + 130_000)
    expect(again.doubts.map((d) => [d.kind, d.instrument])).toEqual([['open-circuit', 'mid']])
    // It measures again: the doubt goes with the minutes that show it.
    let exam = again
    for (let s = 135; s < 1_800; s += 5)
      exam = examineReading(pot, exam, 0, 'temperature', beginAt + s * 1_000, 90 + (s % 3) / 10)
    expect(exam.doubts).toEqual([])
  })
})
