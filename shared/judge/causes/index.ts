/** What happened in a room, by name: each cause with what speaks for it and what it ruled out. Pure, over one night. */
import type { NamedCause } from '../../contract/index.ts'
import { minuteMs } from '../../time.ts'
import { type RoomCourse, type Spell, unrestOf } from './course.ts'
import { doorsOf } from './doors.ts'
import { fact, type Found, named, overlaps } from './evidence.ts'
import { fansOf } from './fans.ts'
import { machinesOf } from './machines.ts'
import { powerCutsOf } from './power.ts'
import { sensorsOf } from './sensors.ts'

export { minuteMeans, minutesBetween, type RoomCourse, type Spell } from './course.ts'

/** A machine that begins to be missed so soon after the mains came back did not start again. */
const afterCutMinutes = 25
/** Its machine may have been resting when the mains went. */
const beforeCutMinutes = 60
/** A door that was open leaves its damp for so long: what climbs from it is no machine. */
const afterDoorMinutes = 20

/** A power cut that another room told of: here nothing fell silent, but the mains are the same. */
function cutElsewhere({ from, to }: Spell): Found {
  return { kind: 'power-cut', from, to, confidence: 'likely', evidence: [], ruledOut: [] }
}

/** A fan whose current is gone while others are silent, and back when they are, is the mains. */
function isMains(fan: Found, cuts: readonly Found[]): boolean {
  return cuts.some((cut) => Math.abs(cut.from - fan.from) <= 5 * minuteMs && fan.to !== null && overlaps(cut, fan, 5))
}

function afterCut(machine: Found, cuts: readonly Found[]): Found {
  const cut = cuts.find(
    (c) =>
      machine.from >= c.from - beforeCutMinutes * minuteMs &&
      machine.from <= (c.to ?? c.from) + afterCutMinutes * minuteMs &&
      (machine.to ?? Infinity) > (c.to ?? c.from) + afterCutMinutes * minuteMs,
  )
  if (!cut) return machine
  // Resting between two of its cycles it was well until then.
  const from = Math.max(machine.from, cut.from)
  return { ...machine, from, evidence: [...machine.evidence, fact('after-power-cut')] }
}

/** What people did last lingers for so long after dusk. */
const lingersMinutes = 45

/** What is only read from the air, and began while people were about. */
const isByDay = (found: Found, { dusk }: RoomCourse) =>
  found.confidence !== 'sure' && found.kind !== 'power-cut' && found.from < dusk + lingersMinutes * minuteMs

/** Everything that happened in the room between the first and the last minute of its course, in order. */
export function causesOf(course: RoomCourse): NamedCause[] {
  const unrest = { dew: unrestOf(course.dewC), air: unrestOf(course.airC) }
  const still = fansOf(course)
  const own = powerCutsOf(
    course,
    still.filter((f) => f.confidence === 'sure'),
  )
  const cuts = [...own, ...course.cuts.map(cutElsewhere)]
  const sensors = sensorsOf(course, unrest)
  const isLying = (one: Found) => sensors.some((s) => overlaps(s, one, 10))
  // A hole in the middle of a line looks like a step: what begins in a power cut is told as the cut, or as what did not start again.
  const isCut = (one: Found) =>
    cuts.some((c) => one.from >= c.from - 5 * minuteMs && one.from <= (c.to ?? c.from) + 5 * minuteMs)
  const doors = doorsOf(course, unrest).filter(
    (d) => (d.confidence === 'sure' || !isLying(d)) && (d.confidence === 'sure' || !isCut(d)),
  )
  const machines = machinesOf(course)
    .filter((m) => !isLying(m))
    .filter(
      (m) =>
        !doors.some(
          (d) => m.from >= d.from - 15 * minuteMs && m.from <= (d.to ?? Infinity) + afterDoorMinutes * minuteMs,
        ),
    )
    .map((m) => afterCut(m, cuts))
  const fans = still
    .filter((f) => !isMains(f, cuts))
    .filter(
      (f) => f.confidence === 'sure' || ![...doors, ...machines, ...cuts, ...sensors].some((c) => overlaps(c, f, 60)),
    )
    .map((f) => afterCut(f, cuts))
  const quiet = sensors.filter((s) => !doors.some((d) => d.confidence === 'sure' && overlaps(d, s, 5)) && !isCut(s))
  return [...own, ...quiet, ...doors, ...machines, ...fans]
    .filter((f) => !isByDay(f, course))
    .sort((a, b) => a.from - b.from)
    .map(named)
}
