/** The ready-at forecast on held-out burnouts, beside the recipe's clock plus how late the last five were. */
import { burnoutStories, frozenSeed, kilnsAsked } from '../held-out/burnouts/burnouts.ts'
import { type AskedReady, askedOf, leadsMs } from './kit/ready.ts'

const given = (flag: string, usual: number) => {
  const at = process.argv.indexOf(flag)
  return at > 0 ? Number(process.argv[at + 1]) : usual
}
const seed = given('--seed', frozenSeed)
const kilns = given('--kilns', kilnsAsked)
const all: AskedReady[] = []
let [judgedMs, entries] = [0, 0]
for (const story of burnoutStories(seed, kilns)) {
  const begun = performance.now()
  const of = askedOf(story)
  judgedMs += performance.now() - begun
  entries += of.entries
  all.push(...of.asked)
}
const minutes = (ms: number) => (ms / 60_000).toFixed(1)
const quantile = (values: readonly number[], share: number) =>
  [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(share * values.length))] ?? Number.NaN

function line(name: string, some: readonly AskedReady[]): { median: number; ratio: number; holds: number } {
  const told = some.filter((a) => a.ours !== null)
  const mine = told.map((a) => Math.abs((a.ours as { ms: number }).ms - a.trueMs))
  const clock = told.map((a) => Math.abs(a.clockMs - a.trueMs))
  const holds = told.filter((a) => a.ours && a.ours.lowMs <= a.trueMs && a.trueMs <= a.ours.highMs).length / told.length
  const early = told.filter((a) => a.ours && a.trueMs < a.ours.lowMs).length / told.length
  const ratio = quantile(mine, 0.5) / quantile(clock, 0.5)
  const width = quantile(
    told.map((a) => (a.ours ? a.ours.highMs - a.ours.lowMs : 0)),
    0.5,
  )
  console.log(
    `  ${name.padEnd(26)} ${String(some.length).padStart(4)} asked, ${some.length - told.length} refused; holds ${(100 * holds).toFixed(1)} % (before it ${(100 * early).toFixed(1)} %), width ${minutes(width)} min; ` +
      `error median ${minutes(quantile(mine, 0.5))}, p90 ${minutes(quantile(mine, 0.9))} min; the clock ${minutes(quantile(clock, 0.5))}, p90 ${minutes(quantile(clock, 0.9))}; ratio ${ratio.toFixed(2)}`,
  )
  return { median: quantile(mine, 0.5) / 60_000, ratio, holds }
}

console.log(`\nready: ${kilns} kilns, seed ${seed}; ${all.length} questions`)
const whole = line('all', all)
const byLead = leadsMs.map((lead) =>
  line(
    `${lead / 3_600_000} h before`,
    all.filter((a) => a.leadMs === lead),
  ),
)
for (const kind of ['shell', 'solid'] as const)
  for (const lead of leadsMs.slice(1))
    line(
      `${kind}, ${lead / 3_600_000} h before`,
      all.filter((a) => a.kind === kind && a.leadMs === lead),
    )
line(
  'wet',
  all.filter((a) => a.wet),
)
line(
  'something came between',
  all.filter((a) => a.happened),
)
const why = new Map<string, number>()
for (const a of all) if (!a.ours) why.set(a.why, (why.get(a.why) ?? 0) + 1)
console.log(`  refused because: ${[...why].map(([w, n]) => `${w} ${n}`).join(', ') || 'never'}`)
console.log(`  judging costs ${((1_000 * judgedMs) / entries).toFixed(1)} µs an entry, forecasts among them`)
const say = (ok: boolean, text: string) => console.log(`  ${ok ? 'kept' : 'MISSED'}: ${text}`)
say(
  whole.holds >= 0.75 && whole.holds <= 0.85,
  `the 80 % interval holds in ${(100 * whole.holds).toFixed(1)} %, of 75 to 85`,
)
say(
  (byLead[1]?.median ?? Infinity) <= 12,
  `median error three hours before ${byLead[1]?.median.toFixed(1)} min, of at most 12`,
)
say(
  (byLead[2]?.median ?? Infinity) <= 5,
  `median error one hour before ${byLead[2]?.median.toFixed(1)} min, of at most 5`,
)
say(whole.ratio <= 0.5, `error at most half of the clock's: ${whole.ratio.toFixed(2)}`)
