/** A power cut: instruments fall silent together, or the fan stands still and runs again by itself while others are silent. */
import { type EpochMs, minuteMs } from '../../time.ts'
import type { RoomCourse } from './course.ts'
import { fact, type Found } from './evidence.ts'

const togetherMs = 3 * minuteMs
const shortestMs = 2 * minuteMs
const longestMs = 12 * 60 * minuteMs
/** So many in the whole foundry are no coincidence. */
const manyInstruments = 3

/** Whether a fan of this room stood still from and until about the same time. */
function stillFan(fans: readonly Found[], from: EpochMs, to: EpochMs): Found | undefined {
  return fans.find(
    (f) => f.to !== null && Math.abs(f.from - from) <= togetherMs && Math.abs(f.to - to) <= 2 * togetherMs,
  )
}

/** Silences that began within minutes of one another, by how many instruments. `fans`: when the room's fan drew no current. */
export function powerCutsOf(course: RoomCourse, fans: readonly Found[]): Found[] {
  const all = course.silences
    .flatMap(({ instrument, isMine, spells }) => spells.map((spell) => ({ instrument, isMine, ...spell })))
    .filter(({ from, to }) => to - from >= shortestMs && to - from <= longestMs)
    // While we ourselves did not run nobody could be heard: that is no silence of theirs.
    .filter(({ from, to }) => !course.absences.some((a) => a.from < to && from < a.to))
    .sort((a, b) => a.from - b.from)
  const mine = course.silences.filter((s) => s.isMine).length
  const found: Found[] = []
  for (let i = 0; i < all.length; ) {
    const first = all[i] as (typeof all)[number]
    const group = all.slice(i).filter(({ from }) => from - first.from <= togetherMs)
    i += group.length
    const instruments = new Set(group.map((g) => g.instrument)).size
    const here = new Set(group.filter((g) => g.isMine).map((g) => g.instrument)).size
    const ends = group.map((g) => g.to).sort((a, b) => a - b)
    // One that never came back says nothing of when the mains did.
    const to = ends[ends.length >> 1] as number
    const fan = stillFan(fans, first.from, to)
    const isHere = here >= 2 && here >= mine / 2
    if (!isHere && !fan && (instruments < manyInstruments || here === 0)) continue
    const evidence = [
      fact('many-silent', instruments),
      ...(fan ? [fact('fan-still', fan.evidence[0]?.value ?? 0)] : []),
    ]
    // The fan tells better than a network that comes back when it may.
    found.push(cut(fan?.from ?? first.from, fan?.to ?? to, evidence))
  }
  // A gateway is also stopped by hand: only with a fan that stood still it was the mains.
  for (const { from, to } of course.absences) {
    const fan = to - from >= shortestMs ? stillFan(fans, from, to) : undefined
    if (fan)
      found.push(cut(fan.from, fan.to ?? to, [fact('gateway-off'), fact('fan-still', fan.evidence[0]?.value ?? 0)]))
  }
  return found.sort((a, b) => a.from - b.from)
}

function cut(from: EpochMs, to: EpochMs, evidence: Found['evidence']): Found {
  return { kind: 'power-cut', from, to, confidence: 'sure', evidence, ruledOut: [] }
}
