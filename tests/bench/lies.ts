/** Instruments that lie, and instruments that do not, in scenes written by somebody who had not seen the examiner: what it names them. */
import { doubtKinds, type DoubtKind } from '../../shared/contract/index.ts'
import { healthyScenes, lieScenes } from '../held-out/lies/scene.ts'
import { accusationsIn, falseIn, namedAs, withTwin } from './kit/lies.ts'

const asked = (flag: string, usual: number) => {
  const at = process.argv.indexOf(flag)
  return at > 0 ? Number(process.argv[at + 1]) : usual
}
const perKind = asked('--per-kind', 50)
const monthsAsked = asked('--months', 120)
const seed = asked('--seed', 20_260_301)
const only = process.argv.indexOf('--only') > 0 ? process.argv[process.argv.indexOf('--only') + 1] : undefined
const tell = process.argv.includes('--tell')
const limits = { namedShare: 0.9, falsePerMonth: 1 }

console.log(`\nlies: ${perKind} held-out scenes of each kind, ${monthsAsked} healthy instrument-months, seed ${seed}`)
const begun = performance.now()
let [right, whole, bystanders, bystanderMonths] = [0, 0, 0, 0]
const byClass = new Map<string, { right: number; whole: number }>()
for (const kind of doubtKinds) {
  if (only !== undefined && only !== kind) continue
  const named = new Map<string, number>()
  for (const scene of lieScenes(kind, perKind, seed)) {
    const accusations = accusationsIn(scene)
    const [first] = scene.truth.filter((one) => one.kind === kind)
    if (first === undefined) throw new Error(`The scene ${scene.id} holds no ${kind}.`)
    const lie = scene.truth.filter((one) => one.kind === kind && one.instrument === first.instrument)
    const found = namedAs(withTwin(scene, lie), accusations)
    const name = found === null ? 'none' : found.kind
    named.set(name, (named.get(name) ?? 0) + 1)
    const isRight = found?.kind === kind && found.evidence > 0
    const cell = byClass.get(scene.class) ?? { right: 0, whole: 0 }
    byClass.set(scene.class, { right: cell.right + (isRight ? 1 : 0), whole: cell.whole + 1 })
    if (isRight) right++
    whole++
    const wrongly = falseIn(scene, accusations)
    bystanders += wrongly.length
    bystanderMonths += scene.months
    if (tell && !isRight) console.log(`    ${scene.id}: ${name}`)
    if (tell) for (const one of wrongly) console.log(`    ${scene.id}: accuses ${one.instrument} of ${one.kind}`)
  }
  const own = named.get(kind) ?? 0
  const others = [...named].filter(([name]) => name !== kind).sort((a, b) => b[1] - a[1])
  const told = others.map(([name, count]) => `${name} ${count}`).join(', ')
  console.log(`  ${kind.padEnd(16)} named rightly ${String(own).padStart(3)} of ${perKind}${told && `; else: ${told}`}`)
}
console.log(`  by class: ${[...byClass].map(([name, c]) => `${name} ${c.right}/${c.whole}`).join(', ')}`)
const share = right / whole
console.log(
  `  ${share >= limits.namedShare ? 'kept' : 'MISSED'}: ${(100 * share).toFixed(1)} % of all lies named rightly, with evidence, of at least ${100 * limits.namedShare} %`,
)
console.log(
  `  accusations in these scenes of whoever did not lie then: ${bystanders} in ${bystanderMonths.toFixed(1)} instrument-months`,
)

if (only === undefined || only === 'healthy') {
  const wrong = new Map<DoubtKind, number>()
  let months = 0
  for (const scene of healthyScenes(monthsAsked, seed)) {
    months += scene.months
    for (const one of falseIn(scene, accusationsIn(scene))) {
      wrong.set(one.kind, (wrong.get(one.kind) ?? 0) + 1)
      if (tell)
        console.log(`    ${scene.id}: accuses ${one.instrument} of ${one.kind} at ${new Date(one.from).toISOString()}`)
    }
  }
  const count = [...wrong.values()].reduce((sum, n) => sum + n, 0)
  const told = [...wrong].sort((a, b) => b[1] - a[1]).map(([kind, n]) => `${kind} ${n}`)
  console.log(
    `  healthy: ${count} false accusations in ${months.toFixed(1)} instrument-months${told.length > 0 ? ` (${told.join(', ')})` : ''}`,
  )
  const perMonth = count / months
  const word = perMonth <= limits.falsePerMonth ? 'kept' : 'MISSED'
  console.log(`  ${word}: ${perMonth.toFixed(2)} an instrument-month, of at most ${limits.falsePerMonth}`)
}
console.log(`  within ${((performance.now() - begun) / 1_000).toFixed(0)} s`)
