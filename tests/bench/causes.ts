/** Causes by name on held-out nights of dry rooms: who is named for what, and how many quiet nights are blamed; beside naming whatever is most frequent. */
import { eventKinds, frozenSeed, roomNight } from '../held-out/rooms/rooms.ts'
import { type NamedNight, namedNight } from './kit/causes.ts'

const given = (flag: string, usual: number) => {
  const at = process.argv.indexOf(flag)
  return at > 0 ? Number(process.argv[at + 1]) : usual
}
const seed = given('--seed', frozenSeed)
const each = given('--each', 100)
const quietCount = given('--quiet', 1_000)
const isVerbose = process.argv.includes('--verbose')
const nights: NamedNight[] = []
let [reviewMs, reviews] = [0, 0]
const look = (kind: NamedNight['kind'], nth: number) => {
  const { night } = roomNight(kind, seed, nth)
  const begun = performance.now()
  const named = namedNight(night)
  reviewMs += performance.now() - begun
  reviews++
  nights.push(named)
  const isWrong = kind === 'quiet' ? named.named !== null : named.named !== kind
  if (isVerbose && isWrong) {
    const evidence = named.cause?.evidence.map((e) => `${e.is} ${e.value.toFixed(2)}`).join(', ') ?? ''
    console.log(
      `    ${kind} ${nth}: ${named.named ?? 'nothing'} (${evidence}); also ${named.others.join(', ') || 'nothing'}; ${night.truth?.told ?? ''}`,
    )
  }
}
for (const kind of eventKinds) for (let nth = 0; nth < each; nth++) look(kind, nth)
for (let nth = 0; nth < quietCount; nth++) look('quiet', nth)

const columns = [...eventKinds, null] as const
console.log(`\ncauses: ${each} nights of each kind and ${quietCount} quiet ones, seed ${seed}`)
console.log(
  `  ${'happened'.padEnd(14)}${columns.map((c) => (c ?? 'nothing').slice(0, 9).padStart(10)).join('')}   also named`,
)
for (const kind of [...eventKinds, 'quiet'] as const) {
  const of = nights.filter((n) => n.kind === kind)
  const row = columns.map((c) => String(of.filter((n) => n.named === c).length).padStart(10)).join('')
  console.log(`  ${kind.padEnd(14)}${row}   ${of.filter((n) => n.others.length > 0).length}`)
}
const events = nights.filter((n) => n.kind !== 'quiet')
const right = events.filter((n) => n.named === n.kind).length
const blamed = nights.filter((n) => n.kind === 'quiet' && n.named !== null).length
const share = (of: readonly NamedNight[]) =>
  `${((100 * of.filter((n) => n.named === n.kind).length) / Math.max(1, of.length)).toFixed(1)} %`
const withHall = (has: boolean) => share(events.filter((n) => n.house.hasCorridor === has))
console.log(
  `  right: ${share(events)}; with air outside the door ${withHall(true)}, without ${withHall(false)}; whatever is most frequent: ${(100 / eventKinds.length).toFixed(1)} %`,
)
console.log(
  `  a wrong name was given to ${events.filter((n) => n.named !== null && n.named !== n.kind).length} events, none to ${events.filter((n) => n.named === null).length}; ${(reviewMs / reviews).toFixed(0)} ms a review`,
)
const verdict = (ok: boolean, text: string) => console.log(`  ${ok ? 'kept' : 'MISSED'}: ${text}`)
verdict(right >= 0.9 * events.length, `${share(events)} named right, of at least 90 %`)
verdict(blamed * 100 <= quietCount, `${blamed} of ${quietCount} quiet nights blamed, of at most ten in a thousand`)
