/** Seeded chance, so that a failing series can be drawn again. */
import fc from 'fast-check'

/** Numbers from 0 up to 1: a linear congruential generator modulo 2³², its constants those of Numerical Recipes (from memory). */
export function chance(seed: number): () => number {
  let state = seed >>> 0
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0
    return state / 2 ** 32
  }
}

export interface Drawn {
  t: number[]
  v: number[]
  quality: number[]
}

/** A random walk with noise and spikes; regular or not, with silences and bad readings or without. */
export function drawnSeries(
  seed: number,
  options: { count: number; isRegular: boolean; hasHoles: boolean; beginsAt: number; stepMs: number },
): Drawn {
  const next = chance(seed)
  const series: Drawn = { t: [], v: [], quality: [] }
  let t = options.beginsAt
  let walk = 90
  for (let i = 0; i < options.count; i++) {
    walk += next() - 0.5
    series.t.push(t)
    series.v.push(walk + (next() < 0.01 ? 40 * (next() - 0.5) : 2 * next()))
    series.quality.push(options.hasHoles && next() < 0.01 ? 2 : next() < 0.05 ? 1 : 0)
    t += options.isRegular ? options.stepMs : 1 + Math.floor(next() * 2 * options.stepMs)
    if (options.hasHoles && next() < 0.01) t += Math.floor(next() * 60 * options.stepMs)
  }
  return series
}

/** A few readings with much in them that goes wrong: values that tie, gaps just at the silence limit and beyond it, bad readings. */
export function anySeries(beginsAt: number, silenceMs: number, maxLength = 80): fc.Arbitrary<Drawn> {
  const gap = fc.oneof(
    { weight: 9, arbitrary: fc.integer({ min: 1, max: silenceMs }) },
    { weight: 3, arbitrary: fc.constantFrom(1, silenceMs, silenceMs + 1) },
    { weight: 1, arbitrary: fc.integer({ min: silenceMs + 1, max: 20 * silenceMs }) },
  )
  const reading = fc.record({
    gapMs: gap,
    v: fc.oneof(fc.integer({ min: 18, max: 27 }), fc.double({ min: -50, max: 150, noNaN: true })),
    quality: fc.constantFrom(0, 0, 0, 0, 0, 0, 0, 1, 0, 2),
  })
  return fc.array(reading, { minLength: 1, maxLength }).map((readings) => {
    let t = beginsAt
    return {
      t: readings.map(({ gapMs }) => (t += gapMs)),
      // Rounded, so that no two values differ by less than a correction can tell apart; + 0, so that none is −0.
      v: readings.map(({ v }) => Math.round(v * 1e6) / 1e6 + 0),
      quality: readings.map(({ quality }) => quality),
    }
  })
}
