/** A race: ours and its reference by turns in one run on one machine, so that only the ratio counts. Medians, and the spread beside them. */

export interface Lane {
  name: string
  /** Does the work once and returns how many things it worked on; what it needs is made beforehand. */
  run(round: number): Promise<number> | number
}

export interface Result {
  name: string
  /** Median over the rounds. */
  perSecond: number
  microsecondsEach: number
  slowest: number
  fastest: number
}

export interface Race {
  title: string
  /** What is counted, in the plural. */
  things: string
  ours: Lane
  reference: Lane
  rounds?: number
}

/** Runs one round of each lane that is not counted, then the rounds; which lane begins changes from round to round. */
export async function race({
  title,
  things,
  ours,
  reference,
  rounds = 7,
}: Race): Promise<{ ours: Result; reference: Result; ratio: number }> {
  const lanes = [ours, reference]
  const rates = new Map<Lane, number[]>(lanes.map((lane) => [lane, []]))
  for (let round = 0; round <= rounds; round++) {
    for (const lane of round % 2 === 0 ? lanes : [...lanes].reverse()) {
      const begun = process.hrtime.bigint()
      const count = await lane.run(round)
      const seconds = Number(process.hrtime.bigint() - begun) / 1e9
      if (round > 0) rates.get(lane)?.push(count / seconds)
    }
  }
  const [mine, theirs] = [resultOf(ours, rates.get(ours) ?? []), resultOf(reference, rates.get(reference) ?? [])]
  const ratio = mine.perSecond / theirs.perSecond
  console.log(`\n${title} (${rounds} rounds, medians)`)
  for (const result of [mine, theirs]) console.log(lineOf(result, things))
  const added = mine.microsecondsEach - theirs.microsecondsEach
  console.log(`  ratio ${ratio.toFixed(2)}, ${added.toFixed(2)} µs added to each`)
  return { ours: mine, reference: theirs, ratio }
}

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const middle = sorted.length >> 1
  const high = sorted[middle] ?? Number.NaN
  return sorted.length % 2 === 1 ? high : ((sorted[middle - 1] ?? Number.NaN) + high) / 2
}

function resultOf({ name }: Lane, rates: readonly number[]): Result {
  const perSecond = median(rates)
  return {
    name,
    perSecond,
    microsecondsEach: 1e6 / perSecond,
    slowest: Math.min(...rates),
    fastest: Math.max(...rates),
  }
}

function lineOf({ name, perSecond, microsecondsEach, slowest, fastest }: Result, things: string): string {
  const rounded = (value: number): string => Math.round(value).toLocaleString('en-GB')
  const spread = `${rounded(slowest)} to ${rounded(fastest)}`
  return `  ${name.padEnd(36)} ${rounded(perSecond).padStart(10)} ${things}/s (${spread}), ${microsecondsEach.toFixed(2)} µs each`
}
