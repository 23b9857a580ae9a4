/** Burnouts that nobody said, in held-out years of kilns, beside the simple way: air above 200 °C for ten minutes. */
import { frozenSeed, kilnsAsked, kilnYears } from '../held-out/kiln-years/year.ts'
import { type AskedFound, foundIn, type Notice } from './kit/found.ts'

const given = (flag: string, usual: number) => {
  const at = process.argv.indexOf(flag)
  return at > 0 ? Number(process.argv[at + 1]) : usual
}
const seed = given('--seed', frozenSeed)
const kilns = given('--kilns', kilnsAsked)
const asked: AskedFound[] = []
const wrong: Record<'ours' | 'simple', Notice[]> = { ours: [], simple: [] }
let [days, others, entries, judgedMs] = [0, 0, 0, 0]
for (const year of kilnYears(seed, kilns)) {
  const found = foundIn(year)
  asked.push(...found.asked)
  wrong.ours.push(...found.ours)
  wrong.simple.push(...found.simple)
  days += year.days
  others += year.others
  entries += found.entries
  judgedMs += found.judgedMs
}
const quantile = (values: readonly number[], share: number) =>
  [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(share * values.length))] ?? Number.NaN

function line(name: string, some: readonly AskedFound[], which: 'ours' | 'simple'): void {
  if (some.length === 0) return
  const seen = some.flatMap((a) => (a[which] ? [{ burnout: a.burnout, notice: a[which] }] : []))
  const delays = seen.map(({ burnout, notice }) => (notice.at - burnout.from) / 60_000)
  const warm = seen.map(({ notice }) => notice.airC)
  const starts = seen.map(({ burnout, notice }) => Math.abs(notice.since - burnout.from) / 60_000)
  const start =
    which === 'ours'
      ? `; begin off by ${quantile(starts, 0.5).toFixed(1)}, p90 ${quantile(starts, 0.9).toFixed(1)} min`
      : ''
  console.log(
    `  ${name.padEnd(16)} ${which.padEnd(6)} noticed ${seen.length} of ${some.length} (${((100 * seen.length) / some.length).toFixed(1)} %), ` +
      `after ${quantile(delays, 0.5).toFixed(0)} min, p90 ${quantile(delays, 0.9).toFixed(0)}, at ${quantile(warm, 0.5).toFixed(0)} °C${start}`,
  )
}

const years = days / 364
console.log(
  `\nfound: ${kilns} kilns, seed ${seed}; ${years} years, ${asked.length} burnouts unsaid and as many said, ${others} other uses and faults`,
)
for (const which of ['ours', 'simple'] as const) {
  line('all', asked, which)
  for (const kind of ['shell', 'solid'] as const)
    line(
      kind,
      asked.filter((a) => a.burnout.kind === kind),
      which,
    )
  console.log(
    `  ${' '.repeat(16)} ${which.padEnd(6)} false notices: ${wrong[which].length}, ${(wrong[which].length / years).toFixed(2)} a year`,
  )
}
console.log(`  judging costs ${((1_000 * judgedMs) / entries).toFixed(1)} µs an entry`)
