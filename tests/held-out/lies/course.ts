/** What is done in the course of a scene, as functions of time that remember nothing. */
import type { Chance } from './chance.ts'

export type Span = readonly [fromS: number, toS: number]

/** Stays at a value until the next one. The steps rise in time. */
export function steps<T>(at: readonly (readonly [atS: number, value: T])[], before: T): (tS: number) => T {
  const times = at.map(([atS]) => atS)
  return (tS) => {
    let low = 0
    let high = times.length
    while (low < high) {
      const middle = (low + high) >> 1
      if (times[middle]! <= tS) low = middle + 1
      else high = middle
    }
    return low === 0 ? before : at[low - 1]![1]
  }
}

/** The value of the span that t lies in, else what `outside` says. Spans rise and do not overlap. */
export function within(spans: readonly Span[]): (tS: number) => boolean {
  return steps(
    spans.flatMap(([fromS, toS]) => [[fromS, true] as const, [toS, false] as const]),
    false,
  )
}

/** Part of a scene, 30–70 % of it: from the first, to the last, or in its middle. */
export function partOf(chance: Chance, durationS: number, share: readonly [number, number] = [0.3, 0.7]): Span {
  const lengthS = durationS * chance.between(share[0], share[1])
  const style = chance.whole(0, 2)
  if (style === 0) return [0, lengthS]
  if (style === 1) return [durationS - lengthS, durationS]
  const fromS = chance.between(0.05, 0.95) * (durationS - lengthS)
  return [fromS, fromS + lengthS]
}

/** Short spells, one every `everyS` or so. */
export function spells(
  chance: Chance,
  [fromS, toS]: Span,
  everyS: readonly [number, number],
  lastS: readonly [number, number],
): Span[] {
  const found: Span[] = []
  let tS = fromS + chance.between(...everyS) * chance.next()
  while (tS < toS) {
    const end = Math.min(toS, tS + chance.between(...lastS))
    found.push([tS, end])
    tS = end + chance.between(...everyS)
  }
  return found
}

/** A day, s. */
export const dayS = 86_400

/** A moment within three invented years, at a working hour (UTC). */
export function someMorning(chance: Chance): number {
  const day = Math.floor(Date.UTC(2023, 0, 1) / 86_400_000) + chance.whole(0, 1_095)
  return day * 86_400_000 + Math.round(chance.between(5, 14) * 3_600_000)
}

/** A workshop: season, day and the way it is heated. Between some 9 and 36 °C. */
export function workshopC(chance: Chance, startMs: number): (tS: number) => number {
  const coldest = chance.between(12, 20)
  const warmest = coldest + chance.between(3, 13)
  const swing = chance.between(0.5, 3)
  const lean = chance.near(0.6, 2)
  return (tS) => {
    const days = startMs / 86_400_000 + tS / dayS
    const summer = 0.5 - 0.5 * Math.cos((2 * Math.PI * (days - 20)) / 365.25)
    return coldest + (warmest - coldest) * summer + swing * Math.sin(2 * Math.PI * (days - 0.37)) + lean
  }
}

/** On whole steps of a body, so that what it does and what is marked begin together. */
export const onSteps = (spans: readonly Span[], stepS: number): Span[] =>
  spans.map(([fromS, toS]) => [Math.round(fromS / stepS) * stepS, Math.round(toS / stepS) * stepS])
