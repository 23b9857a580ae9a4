/** Dryness on held-out dryings: is recovery where it is said to be, is dry called too soon or too late, does the forecast hold; beside a fixed recovery and the clock. */
import { dryingScenes, frozenSeed } from '../held-out/dryings/dryings.ts'
import { kinds } from '../held-out/dryings/scene.ts'
import { type AskedDrying, askedDrying, shares } from './kit/dryness.ts'

const given = (flag: string, usual: number) => {
  const at = process.argv.indexOf(flag)
  return at > 0 ? Number(process.argv[at + 1]) : usual
}
const seed = given('--seed', frozenSeed)
const count = given('--dryings', 540)
const all: AskedDrying[] = []
const begun = performance.now()
for (const scene of dryingScenes(seed, count)) all.push(askedDrying(scene))
const percent = (part: number, whole: number) => `${((100 * part) / whole).toFixed(1)} %`
const mean = (of: readonly number[]) => of.reduce((a, b) => a + b, 0) / of.length
const median = (of: readonly number[]) => [...of].sort((a, b) => a - b)[of.length >> 1] ?? Number.NaN
const sum = (of: readonly AskedDrying[], get: (a: AskedDrying) => number) => of.reduce((s, a) => s + get(a), 0)

interface Called {
  called: number
  early: number
  lateMinutes: number
}

function calledOf(of: readonly AskedDrying[], get: (a: AskedDrying) => number | null): Called {
  const called = of.filter((a) => get(a) !== null)
  const isEarly = (a: AskedDrying) => a.trulyAfter === null || (get(a) as number) < a.trulyAfter
  const late = called.filter((a) => !isEarly(a)).map((a) => (get(a) as number) - (a.trulyAfter as number))
  return { called: called.length, early: called.filter(isEarly).length, lateMinutes: mean(late) }
}

console.log(`\ndryness: ${count} dryings of as many pieces, three weighed nights before each, seed ${seed}`)
console.log('  by what the room did          called   early   late mean   recovery held   cannot tell while wet')
for (const kind of kinds) {
  const of = all.filter((a) => a.kind === kind)
  const { called, early, lateMinutes } = calledOf(of, (a) => a.calledAfter)
  console.log(
    `  ${kind.padEnd(22)} ${String(of.length).padStart(5)} ${String(called).padStart(8)} ${String(early).padStart(7)} ${lateMinutes.toFixed(0).padStart(7)} min ${percent(
      sum(of, (a) => a.held),
      sum(of, (a) => a.told),
    ).padStart(14)} ${percent(
      sum(of, (a) => a.cannotTell),
      sum(of, (a) => a.wet),
    ).padStart(14)}`,
  )
}
const ours = calledOf(all, (a) => a.calledAfter)
const say = (name: string, { called, early, lateMinutes }: Called) =>
  console.log(
    `  ${name.padEnd(26)} called ${called} of ${all.length}, ${early} too soon (${percent(early, called)}), the others ${lateMinutes.toFixed(0)} min late on average`,
  )
say('ours', ours)
say(
  'a recovery of 0.9, held',
  calledOf(all, (a) => a.fixedAfter),
)
say(
  'the slowest earlier night',
  calledOf(all, (a) => a.clockAfter),
)
for (const share of shares) {
  const asked = all.flatMap((a) => a.forecasts.filter((f) => f.share === share))
  const told = asked.flatMap(({ told: t, trueHours }) => (t ? [{ ...t, trueHours }] : []))
  const holds = told.filter((t) => t.lowHours <= t.trueHours && t.trueHours <= t.highHours).length
  console.log(
    `  forecast at ${100 * share} % of the time   told ${told.length} of ${asked.length}, holds ${percent(holds, told.length)}, median error ${median(told.map((t) => 60 * Math.abs(t.hours - t.trueHours))).toFixed(0)} min`,
  )
}
const told = all.flatMap((a) => a.forecasts).flatMap(({ told: t, trueHours }) => (t ? [{ ...t, trueHours }] : []))
const holds = told.filter((t) => t.lowHours <= t.trueHours && t.trueHours <= t.highHours).length / told.length
const held = sum(all, (a) => a.held) / sum(all, (a) => a.told)
const trapped = all.filter((a) => a.kind === 'trap' || a.kind === 'coolingRoom')
const trappedEarly = calledOf(trapped, (a) => a.calledAfter).early
const wetRooms = all.filter((a) => a.kind === 'noDepression')
console.log(
  `  ${((performance.now() - begun) / count).toFixed(0)} ms a drying with its three earlier nights, all minutes of it`,
)
const verdict = (ok: boolean, text: string) => console.log(`  ${ok ? 'kept' : 'MISSED'}: ${text}`)
verdict(held >= 0.92 && held <= 0.98, `the 95 % interval of recovery held in ${percent(held, 1)}, of 92 to 98`)
verdict(ours.early <= 0.02 * ours.called, `dry called too soon in ${percent(ours.early, ours.called)}, of at most 2 %`)
verdict(ours.lateMinutes <= 45, `on average ${ours.lateMinutes.toFixed(0)} min after it was, of at most 45`)
verdict(holds >= 0.75 && holds <= 0.85, `the 80 % interval of the dry time held in ${percent(holds, 1)}, of 75 to 85`)
verdict(trappedEarly === 0, `${trappedEarly} trap nights and quickly cooling rooms called dry too soon, of none`)
verdict(
  calledOf(wetRooms, (a) => a.calledAfter).early === 0,
  `without enough depression ${percent(
    sum(wetRooms, (a) => a.cannotTell),
    sum(wetRooms, (a) => a.wet),
  )} of the wet minutes say that nobody can tell, and ${calledOf(wetRooms, (a) => a.calledAfter).early} were called too soon`,
)
