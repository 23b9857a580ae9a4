/** Thermocouples against the published tables, and there and back over their whole range. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { its90, type ThermocoupleType, thermocoupleTypes } from '../../shared/physics/its90.ts'
import { emfMv, hotJunctionC, sensitivityMvPerC, temperatureOfEmfC } from '../../shared/physics/thermocouple.ts'
import junctions from '../data/cold-junction-checkpoints.json' with { type: 'json' }
import tables from '../data/its90-checkpoints.json' with { type: 'json' }

const rowsOf = (type: ThermocoupleType) => tables.types[type]
const turnOfTypeBC = 21.0203

describe('the voltage of a thermocouple', () => {
  it.each(thermocoupleTypes)(
    'type %s agrees with every checked row of its NIST table to half the last digit',
    (type) => {
      const rows = rowsOf(type)
      expect(rows.length).toBeGreaterThan(10)
      for (const row of rows)
        expect(Math.abs((emfMv(type, row.t_C) ?? NaN) - row.E_mV_table)).toBeLessThanOrEqual(0.0005 + 1e-9)
    },
  )

  it.each(thermocoupleTypes)('type %s does not jump where its pieces meet', (type) => {
    for (const piece of its90[type].slice(1)) {
      const before = emfMv(type, piece.fromC - 1e-9) ?? NaN
      const after = emfMv(type, piece.fromC + 1e-9) ?? NaN
      expect(Math.abs(after - before)).toBeLessThan(1e-6)
    }
  })

  it('is not told outside the range of its type', () => {
    expect(emfMv('K', 1372.1)).toBeNull()
    expect(emfMv('K', -270.1)).toBeNull()
    expect(emfMv('B', -1)).toBeNull()
    expect(emfMv('S', Number.NaN)).toBeNull()
  })

  it('has the sensitivities of the table of Seebeck coefficients', () => {
    // Computed from NIST SRD 60, µV/°C, printed to two decimals.
    const printed = [
      ['K', 25, 40.52],
      ['K', 870, 40.31],
      ['N', 600, 38.96],
      ['S', 1000, 11.54],
      ['B', 65, 0.506],
    ] as const
    for (const [type, t, microvolts] of printed)
      expect((sensitivityMvPerC(type, t) ?? NaN) * 1_000).toBeCloseTo(microvolts, 2)
  })
})

describe('the temperature behind a voltage', () => {
  it.each(thermocoupleTypes)(
    'type %s agrees with every row of its table to half the last digit of the voltage',
    (type) => {
      // Below 42.13 °C a voltage of type B has two temperatures; its rows there are looked at below.
      const rows = rowsOf(type).filter(({ t_C }) => type !== 'B' || t_C > 43)
      expect(rows.length).toBeGreaterThan(10)
      const [lowest, highest] = [its90[type][0]?.fromC ?? NaN, its90[type].at(-1)?.toC ?? NaN].map(
        (t) => emfMv(type, t) ?? NaN,
      )
      for (const { t_C, E_mV_table } of rows) {
        // A printed end of a table may lie past the end by its own rounding.
        const mv = Math.max(type === 'B' ? 0 : (lowest ?? NaN), Math.min(highest ?? NaN, E_mV_table))
        const allowed = 0.0005 / (sensitivityMvPerC(type, t_C) ?? NaN) + 0.001
        expect(Math.abs((temperatureOfEmfC(type, mv) ?? NaN) - t_C)).toBeLessThanOrEqual(allowed)
      }
    },
  )

  it.each(thermocoupleTypes)('type %s comes back to the same temperature within a millionth of a degree', (type) => {
    const from = type === 'B' ? turnOfTypeBC + 0.001 : (its90[type][0]?.fromC ?? 0)
    const to = its90[type].at(-1)?.toC ?? 0
    fc.assert(
      fc.property(fc.double({ min: from, max: to, noNaN: true }), (t) => {
        const back = temperatureOfEmfC(type, emfMv(type, t) ?? NaN)
        expect(Math.abs((back ?? NaN) - t)).toBeLessThanOrEqual(1e-6)
      }),
      { numRuns: 2_000 },
    )
  })

  it('has no answer where type B means two temperatures at once or none', () => {
    expect(temperatureOfEmfC('B', -0.0026)).toBeNull()
    expect(temperatureOfEmfC('B', 0)).toBeCloseTo(42.13, 1)
    expect(temperatureOfEmfC('B', -0.001) ?? 0).toBeGreaterThan(turnOfTypeBC)
  })

  it('of type B near the room is the warmer of the two, and they give the same voltage', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: turnOfTypeBC, noNaN: true }), (t) => {
        const mv = emfMv('B', t) ?? NaN
        const warmer = temperatureOfEmfC('B', mv) ?? NaN
        expect(warmer).toBeGreaterThanOrEqual(turnOfTypeBC - 0.001)
        expect(warmer).toBeLessThan(42.14)
        expect(emfMv('B', warmer)).toBeCloseTo(mv, 9)
      }),
      { numRuns: 500 },
    )
    for (const { t_C, E_mV_table } of rowsOf('B').filter(({ t_C }) => t_C <= 42))
      expect(Math.abs((emfMv('B', t_C) ?? NaN) - E_mV_table)).toBeLessThanOrEqual(0.0005)
  })

  it('has no answer outside the range of its type', () => {
    expect(temperatureOfEmfC('K', 60)).toBeNull()
    expect(temperatureOfEmfC('K', -7)).toBeNull()
    expect(temperatureOfEmfC('K', Number.NaN)).toBeNull()
  })
})

describe('a bare thermocouple with its cold end in the room', () => {
  it('gives the published worked examples', () => {
    // K 1.1 mV with the junction at 23 °C, and K 4.096 mV at 25 °C: readmes of two general-purpose open-source libraries.
    expect(Math.abs((hotJunctionC('K', 1_100, 23) ?? NaN) - 49.907928)).toBeLessThan(0.01)
    expect(Math.abs((hotJunctionC('K', 4_096, 25) ?? NaN) - 124.3099)).toBeLessThan(0.01)
  })

  it('gives every checked row, and neither of the two usual wrong answers', () => {
    for (const row of junctions.rows) {
      const t = hotJunctionC(row.type as ThermocoupleType, row.E_measured_mV * 1_000, row.t_ref_C) ?? NaN
      expect(Math.abs(t - row.t_exact_inverse_C)).toBeLessThan(1e-4)
      expect(Math.abs(t - row.wrong_no_CJC_C)).toBeGreaterThan(1)
      if (row.E_measured_mV !== 0) expect(Math.abs(t - row.wrong_add_temperatures_C)).toBeGreaterThan(0.1)
    }
  })

  it('says nothing when the cold end is where its type has no function', () => {
    expect(hotJunctionC('B', 1_000, -5)).toBeNull()
    expect(hotJunctionC('K', 1_000, Number.NaN)).toBeNull()
  })
})
