/** What a class promises of a new thermocouple, and what doubt that leaves. */
import { describe, expect, it } from 'vitest'
import { type ThermocoupleType, thermocoupleTypes } from '../../shared/physics/its90.ts'
import { thermocoupleUncertaintyC, toleranceC, uniformU } from '../../shared/physics/tolerance.ts'
import facts from '../data/thermocouple-tolerances.json' with { type: 'json' }

interface Segment {
  lo: number
  hi: number
  abs?: number
  frac?: number
  formula?: string
}
type IecRows = Record<'1' | '2' | '3', Segment[] | null>
interface AstmRow {
  range: [number, number]
  std: [number, number]
  special?: [number, number]
  sub0?: AstmRow
}

const iec = facts.iec as unknown as Record<ThermocoupleType, IecRows | string>
const astm = facts.astm_e230 as unknown as Record<ThermocoupleType, AstmRow>
const asOf = (row: IecRows | string): IecRows =>
  typeof row === 'string' ? asOf(iec[row.replace('as ', '') as ThermocoupleType]) : row

/** What a printed segment says at `t`; the one formula among them is written out. */
function printed({ abs, frac, formula }: Segment, t: number): number {
  if (formula !== undefined) {
    expect(formula).toBe('1+0.003*(t-1100)')
    return 1 + 0.003 * (t - 1_100)
  }
  return abs ?? (frac ?? Number.NaN) * Math.abs(t)
}

describe('the tolerance of a new thermocouple by IEC 60584', () => {
  it.each(thermocoupleTypes)('type %s is that of every reproduced row, and none beyond', (type) => {
    for (const grade of [1, 2, 3] as const) {
      const segments = asOf(iec[type])[grade]
      if (segments === null) {
        for (const t of [-100, 0, 300, 1_000]) expect(toleranceC('iec-60584', grade, type, t)).toBeNull()
        continue
      }
      for (const segment of segments)
        for (let i = 0; i <= 20; i++) {
          const t = segment.lo + ((segment.hi - segment.lo) * i) / 20
          // Break temperatures are printed in whole degrees: there two neighbouring rows differ by up to 0.005 °C.
          expect(Math.abs((toleranceC('iec-60584', grade, type, t) ?? Number.NaN) - printed(segment, t))).toBeLessThan(
            0.006,
          )
        }
      const [from, to] = [Math.min(...segments.map((s) => s.lo)), Math.max(...segments.map((s) => s.hi))]
      expect(toleranceC('iec-60584', grade, type, from - 0.1)).toBeNull()
      expect(toleranceC('iec-60584', grade, type, to + 0.1)).toBeNull()
    }
  })

  it('gives the worked values', () => {
    expect(toleranceC('iec-60584', 1, 'K', 65)).toBe(facts.worked['K class1 @65'])
    expect(toleranceC('iec-60584', 1, 'K', 870)).toBeCloseTo(facts.worked['K class1 @870'], 9)
    expect(toleranceC('iec-60584', 2, 'K', 870)).toBeCloseTo(facts.worked['K class2 @870'], 9)
    expect(toleranceC('iec-60584', 2, 'K', 300)).toBe(facts.worked['K class2 @300'])
    expect(toleranceC('iec-60584', 1, 'N', 1_000)).toBeCloseTo(facts.worked['N class1 @1000'], 9)
    expect(toleranceC('iec-60584', 1, 'S', 1_000)).toBe(facts.worked['S class1 @1000'])
    expect(toleranceC('iec-60584', 1, 'S', 1_200)).toBeCloseTo(facts.worked['S class1 @1200'], 9)
    expect(toleranceC('iec-60584', 2, 'S', 1_000)).toBeCloseTo(facts.worked['S class2 @1000'], 9)
    expect(toleranceC('iec-60584', 1, 'T', 65)).toBe(facts.worked['T class1 @65'])
    expect(toleranceC('iec-60584', 2, 'T', 65)).toBe(facts.worked['T class2 @65'])
  })
})

describe('the tolerance of a new thermocouple by ASTM E230', () => {
  it.each(thermocoupleTypes)('type %s is the larger of the two limits of every row, and none beyond', (type) => {
    const row = astm[type]
    for (const [part, grade, limits] of [
      [row, 'standard', row.std],
      [row, 'special', row.special],
      [row.sub0, 'standard', row.sub0?.std],
    ] as const) {
      if (part === undefined || limits === undefined) continue
      for (let i = 0; i <= 20; i++) {
        const t = part.range[0] + ((part.range[1] - part.range[0]) * i) / 20
        const larger = Math.max(limits[0], limits[1] * Math.abs(t))
        expect(toleranceC('astm-e230', grade, type, t)).toBeCloseTo(larger, 9)
      }
      expect(toleranceC('astm-e230', grade, type, row.range[1] + 0.1)).toBeNull()
    }
    const lowest = row.sub0?.range[0] ?? row.range[0]
    expect(toleranceC('astm-e230', 'standard', type, lowest - 0.1)).toBeNull()
    expect(toleranceC('astm-e230', 'special', type, row.range[0] - 0.1)).toBeNull()
  })

  it('gives the worked values, and of two printed ones for cold type K the one that promises less', () => {
    expect(toleranceC('astm-e230', 'standard', 'K', 870)).toBeCloseTo(facts.worked['K ASTM std @870'], 9)
    expect(toleranceC('astm-e230', 'special', 'K', 870)).toBeCloseTo(facts.worked['K ASTM special @870'], 9)
    expect(toleranceC('astm-e230', 'standard', 'K', -200)).toBeCloseTo(4, 9)
  })

  it('is not told for what is no temperature', () => {
    expect(toleranceC('astm-e230', 'standard', 'K', Number.NaN)).toBeNull()
    expect(toleranceC('iec-60584', 1, 'K', Number.NaN)).toBeNull()
  })
})

describe('how sure a thermocouple is', () => {
  const kiln = {
    type: 'K',
    temperatureC: 870,
    toleranceC: toleranceC('iec-60584', 2, 'K', 870),
    checkUC: null,
  } as const

  it('without a check is its tolerance over the root of three', () => {
    // JCGM 100:2008, 4.3.7: even between two limits. Class 2 at 870 °C: 6.525/√3.
    expect(uniformU(3)).toBeCloseTo(1.7320508, 7)
    expect(thermocoupleUncertaintyC({ ...kiln, junction: null })).toBeCloseTo(3.767, 3)
  })

  it('with a cold end of its own carries that end’s doubt as often as the two sensitivities say', () => {
    // Type K: 39.0 µV/°C at 1,000 °C against 40.5 at 25 °C is 1.04; type S: 11.5 against 6.0 is 0.52.
    const none = { temperatureC: 1_000, toleranceC: 0, checkUC: null, junction: { atC: 25, uC: 1 } }
    expect(thermocoupleUncertaintyC({ ...none, type: 'K' })).toBeCloseTo(1.04, 2)
    expect(thermocoupleUncertaintyC({ ...none, type: 'S' })).toBeCloseTo(0.52, 2)
    const both = thermocoupleUncertaintyC({ ...kiln, junction: { atC: 25, uC: 0.5 } }) ?? Number.NaN
    expect(both).toBeCloseTo(Math.hypot(6.525 / Math.sqrt(3), (0.5 * 40.52) / 40.31), 3)
  })

  it('with a check is the check’s, however wide its class', () => {
    expect(thermocoupleUncertaintyC({ ...kiln, checkUC: 0.8, junction: null })).toBe(0.8)
    expect(thermocoupleUncertaintyC({ ...kiln, toleranceC: null, checkUC: 0.8, junction: null })).toBe(0.8)
  })

  it('is not told where nobody knows', () => {
    expect(thermocoupleUncertaintyC({ ...kiln, toleranceC: null, junction: null })).toBeNull()
    expect(thermocoupleUncertaintyC({ ...kiln, junction: { atC: Number.NaN, uC: 1 } })).toBeNull()
    expect(thermocoupleUncertaintyC({ ...kiln, type: 'B', temperatureC: 15, junction: { atC: 25, uC: 1 } })).toBeNull()
  })
})
