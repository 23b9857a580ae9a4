/** Many durations told by few: middle, 99th of a hundred, worst. */

export interface Told {
  count: number
  median: number
  p99: number
  worst: number
}

export function toldOf(values: Iterable<number>): Told {
  const sorted = Float64Array.from(values).sort()
  // The smallest value that at least this part of all does not exceed.
  const at = (part: number) => sorted[Math.max(0, Math.ceil(part * sorted.length) - 1)] ?? Number.NaN
  return { count: sorted.length, median: at(0.5), p99: at(0.99), worst: at(1) }
}

export function inMs({ count, median, p99, worst }: Told): string {
  return `median ${median.toFixed(1)} ms, p99 ${p99.toFixed(1)} ms, worst ${worst.toFixed(1)} ms (${count})`
}

/** "kept" or "MISSED", beside what was asked for. */
export function verdict(value: number, limit: number, unit: string): string {
  return `${value <= limit ? 'kept' : 'MISSED'}: ${value.toFixed(2)} of at most ${limit} ${unit}`
}
