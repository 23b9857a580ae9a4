/** The forecast of cooling wax on held-out coolings, beside the simple forecasts anybody could make: how often it is right, how wide, how far off. */
import { coolingStories, frozenSeed, potsAsked } from '../held-out/coolings/coolings.ts'
import { type Answered, answersOf, conformal, intervalScore, leadNames, quantileOf } from './kit/forecast.ts'

const asked = (flag: string, usual: number) => {
  const at = process.argv.indexOf(flag)
  return at > 0 ? Number(process.argv[at + 1]) : usual
}
const seed = asked('--seed', frozenSeed)
const pots = asked('--pots', potsAsked)
const all: Answered[] = []
let [impossible, impossibleTold, scenes, samples, followMs] = [0, 0, 0, 0, 0]
console.log(`\nforecast: ${pots} pots, seed ${seed}`)
for (const story of coolingStories(seed, pots)) {
  const begun = performance.now()
  const of = answersOf(story)
  followMs += performance.now() - begun
  all.push(...of.answers)
  impossible += of.impossible
  impossibleTold += of.impossibleTold
  samples += of.samples
  scenes += story.scenes.length - story.learning
}
const percent = (x: number) => `${(100 * x).toFixed(1)} %`
const told = all.filter((a) => a.ours !== null)
const covers = (a: Answered) => a.ours !== null && a.ours.lowMs <= a.trueMs && a.trueMs <= a.ours.highMs
const relative = (a: Answered, ms: number) => Math.abs(ms - a.trueMs) / a.trueMs
const cover = (some: readonly Answered[]) => some.filter(covers).length / some.length
const ms = (a: Answered) => (a.ours as { ms: number }).ms

function line(name: string, some: readonly Answered[]): void {
  const mine = some.filter((a) => a.ours !== null)
  const errors = mine.map((a) => relative(a, ms(a)))
  const bounded = mine.map((a) => Math.abs(ms(a) - a.trueMs) / Math.max(0.05 * a.trueMs, 20_000))
  const early = mine.filter((a) => a.trueMs < (a.ours as { lowMs: number }).lowMs).length / mine.length
  console.log(
    `  ${name.padEnd(22)} ${String(some.length).padStart(5)} asked, ${percent(1 - mine.length / some.length).padStart(6)} refused; holds ${percent(cover(mine)).padStart(6)} (before it ${percent(early)}); ` +
      `error median ${percent(quantileOf(errors, 0.5))}, p90 ${percent(quantileOf(errors, 0.9))}; of what is allowed ${quantileOf(bounded, 0.5).toFixed(2)}`,
  )
}

console.log(
  `  ${scenes} coolings, ${all.length} questions; ${impossible} of what cannot be, ${impossibleTold} of them answered with a time`,
)
line('all', all)
for (const lead of [0, 1, 2] as const)
  line(
    leadNames[lead],
    all.filter((a) => a.lead === lead),
  )
for (const pot of ['under 3 kg', '3–15 kg', 'over 15 kg'] as const)
  line(
    pot,
    all.filter((a) => a.pot === pot),
  )
line(
  'falling',
  all.filter((a) => a.falls),
)
line(
  'rising',
  all.filter((a) => !a.falls),
)
line(
  'by infrared alone',
  all.filter((a) => a.lead4 === 'infrared'),
)
line(
  'something came between',
  all.filter((a) => a.eventful),
)
const why = new Map<string, number>()
for (const a of all) if (a.ours === null) why.set(a.why, (why.get(a.why) ?? 0) + 1)
console.log(`  refused because: ${[...why].map(([name, n]) => `${name} ${n}`).join(', ')}`)

/** Where all can say something, and the wax falls. */
const common = told.filter((a) => a.falls && a.local !== null && a.learnt !== null && a.line !== null)
const score = (low: number, high: number, a: Answered) => intervalScore(low, high, a.trueMs)
const mean = (values: readonly number[]) => values.reduce((sum, v) => sum + v, 0) / values.length
const oursScore = mean(
  common.map((a) => score((a.ours as { lowMs: number }).lowMs, (a.ours as { highMs: number }).highMs, a)),
)
function against(name: string, of: (a: Answered) => number | null, limit: number | null): void {
  const intervals = conformal(common, of)
  const scored = common.filter((a) => intervals.has(a))
  const theirs = mean(scored.map((a) => score(...(intervals.get(a) as [number, number]), a)))
  const errors = common.map((a) => relative(a, of(a) as number))
  const ratio = oursScore / theirs
  const verdict = limit === null ? '' : ` (${ratio <= limit ? 'kept' : 'MISSED'}: at most ${limit})`
  console.log(
    `  ${name.padEnd(40)} error median ${percent(quantileOf(errors, 0.5))}, p90 ${percent(quantileOf(errors, 0.9))}; interval score ${(theirs / 1_000).toFixed(0)} s; ours ${ratio.toFixed(2)} of it${verdict}`,
  )
}
const mine = common.map((a) => relative(a, ms(a)))
console.log(
  `  side by side on ${common.length} questions: ours error median ${percent(quantileOf(mine, 0.5))}, p90 ${percent(quantileOf(mine, 0.9))}; interval score ${(oursScore / 1_000).toFixed(0)} s`,
)
against('local exponential, air known', (a) => a.local, null)
against('exponential of the pot, air known', (a) => a.learnt, 0.7)
against('straight line', (a) => a.line, 0.5)
console.log(`  following costs ${((1_000 * followMs) / samples).toFixed(1)} µs a sample, questions among them`)
const holds = cover(told)
console.log(
  `  ${holds >= 0.77 && holds <= 0.83 ? 'kept' : 'MISSED'}: the 80 % interval holds the truth in ${percent(holds)}, of 77 to 83`,
)
console.log(
  `  ${1 - told.length / all.length <= 0.1 ? 'kept' : 'MISSED'}: refused ${percent(1 - told.length / all.length)}, of at most 10`,
)
