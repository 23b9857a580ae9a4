/** What every probe does to the truth: it follows late, it trembles, and it counts in steps. */
import type { Chance } from '../random.ts'

/** One probe element that follows its surroundings as a first-order body; the exact solution, so any step will do. */
export function follow(feltValue: number, trueValue: number, dtS: number, lagS: number): number {
  return lagS <= 0 ? trueValue : trueValue + (feltValue - trueValue) * Math.exp(-dtS / lagS)
}

export function quantise(value: number, step: number): number {
  return step > 0 ? Math.round(Math.round(value / step) * step * 1e6) / 1e6 : value
}

export function tremble(value: number, noise: number, chance: Chance): number {
  return noise > 0 ? value + noise * chance.gauss() : value
}
