/** Seeded chance, so that a failing series can be drawn again. */

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
