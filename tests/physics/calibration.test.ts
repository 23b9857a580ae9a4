/** Dated calibrations: which one holds when, what it makes of a reading, how sure that is, and how far an instrument had gone. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type Calibration, calibrated, drift, valid } from '../../shared/physics/calibration.ts'
import { correct } from '../../shared/physics/correction.ts'

const day = 86_400_000
const spring: Calibration = {
  at: 100 * day,
  points: [
    { readsC: 0.4, isC: 0, uC: 0.05 },
    { readsC: 99.2, isC: 99.6, uC: 0.15 },
    { readsC: 798, isC: 800, uC: 1.2 },
  ],
}
const autumn: Calibration = {
  at: 280 * day,
  found: [
    { readsC: 0.4, isC: 0, uC: 0.05 },
    { readsC: 793, isC: 800, uC: 1.2 },
  ],
  points: [
    { readsC: 0.1, isC: 0, uC: 0.05 },
    { readsC: 800.5, isC: 800, uC: 1.2 },
  ],
}

describe('the calibration that holds', () => {
  it('is the newest that was made before the reading, in whatever order they were written down', () => {
    for (const all of [
      [spring, autumn],
      [autumn, spring],
    ]) {
      expect(valid(all, 99 * day)).toBeNull()
      expect(valid(all, 100 * day)).toBe(spring)
      expect(valid(all, 280 * day - 1)).toBe(spring)
      expect(valid(all, 280 * day)).toBe(autumn)
      expect(valid(all, 900 * day)).toBe(autumn)
    }
    expect(valid([], 0)).toBeNull()
  })

  it('is the one written last where two were made at the same instant', () => {
    const again = { ...spring }
    expect(valid([spring, again], 200 * day)).toBe(again)
    expect(valid([again, spring], 200 * day)).toBe(spring)
  })

  it('is not changed for the time before by a newer one', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 279 * day }), (at) => {
        expect(valid([spring, autumn], at)).toBe(valid([spring], at))
      }),
    )
  })
})

describe('a calibrated reading', () => {
  it('means what the same points mean everywhere else', () => {
    fc.assert(
      fc.property(fc.double({ min: -50, max: 1_200, noNaN: true }), (readsC) => {
        expect(calibrated(spring.points, readsC)?.isC).toBe(correct(spring.points, readsC))
      }),
    )
  })

  it('is as sure as its point at a point, and never surer between two than both', () => {
    for (const { readsC, uC } of spring.points) expect(calibrated(spring.points, readsC)?.uC).toBe(uC)
    fc.assert(
      fc.property(fc.double({ min: 0.4, max: 99.2, noNaN: true }), (readsC) => {
        expect(calibrated(spring.points, readsC)?.uC).toBeGreaterThanOrEqual(0.05)
      }),
    )
    // Halfway the offset has gone from −0.4 to +0.4: ±0.4 for the curve nobody looked at, beside 0.1 of the points.
    expect(calibrated(spring.points, 49.8)?.uC).toBeCloseTo(Math.hypot(0.1, 0.4 / Math.sqrt(3)), 9)
  })

  it('is less sure beyond its points, and says that it lies there', () => {
    expect(calibrated(spring.points, 500)?.within).toBe(true)
    // The offset went from −0.4 to +2.0 over the checked range: that much is thought possible outside.
    expect(calibrated(spring.points, 900)).toEqual({ isC: 902, uC: Math.hypot(1.2, 2.4 / Math.sqrt(3)), within: false })
    expect(calibrated(spring.points, -10)).toMatchObject({ isC: -10.4, within: false })
  })

  it('has one offset from one point, and lies beyond it everywhere else', () => {
    const ice = [{ readsC: 0.7, isC: 0, uC: 0.1 }]
    expect(calibrated(ice, 0.7)).toEqual({ isC: 0, uC: 0.1, within: true })
    expect(calibrated(ice, 60)).toMatchObject({ isC: 59.3, within: false })
  })

  it('is none without points or without a number', () => {
    expect(calibrated([], 60)).toBeNull()
    expect(calibrated(spring.points, Number.NaN)).toBeNull()
  })
})

describe('how far an instrument had gone', () => {
  it('is what it was taken to mean as found, less what it meant', () => {
    const [ice, kiln] = drift(spring, autumn)
    expect(ice).toMatchObject({ readsC: 0.4, driftC: 0 })
    // It read 793 at 800 °C, and was taken to mean 793 + 1.99: it had come to read 5 °C low.
    expect(kiln?.driftC).toBeCloseTo(correct(spring.points, 793) - 800, 12)
    expect(kiln?.driftC).toBeLessThan(-4.9)
    expect(kiln?.uC).toBeGreaterThan(1.2 * Math.SQRT2 - 0.05)
  })

  it('is read off the points as left where nothing was adjusted', () => {
    const checked = { at: 300 * day, points: [{ readsC: 0.3, isC: 0, uC: 0.05 }] }
    expect(drift(autumn, checked)[0]?.driftC).toBeCloseTo(0.2, 2)
  })

  it('is nothing where there was no calibration before', () => {
    expect(drift({ at: 0, points: [] }, spring)).toEqual([])
  })
})
