/** One line of the dip board, from readings, runs and what people weighed. Pure. */
import type { DipBoardItem, DryingPower, DryingRecipe, DrynessUnknown } from '../../../shared/contract/index.ts'
import {
  courseOfDrying,
  type DryAsk,
  Dryness,
  drivenOf,
  type DryingCourse,
  type Heard,
  learnPiece,
  type PastDrying,
  type PieceMemory,
  type ProbesKnown,
} from '../../../shared/judge/index.ts'
import { badQuality } from '../../../shared/series/columns.ts'
import { type EpochMs, hourMs, minuteMs } from '../../../shared/time.ts'
import type { NightColumns } from '../night/material.ts'
import { type Said, weighedOf } from './weighed.ts'

/** So long before a dip the piece stands dry in its room, and teaches how it follows it. */
export const beforeDipMs = 3 * hourMs
/** What climate probes and thermocouples are sold with, as standard uncertainties: °C, °C, %. Common practice, no source. */
const probesKnown: ProbesKnown = { waxC: 0.25, airC: 0.25, humidity: 1.5 }
/** Half of a 95 % interval of recovery beyond which nobody can tell. */
const widthMax = 0.15

/** A drying with the readings of its room and its test piece, from some hours before the dip. */
export interface HeardDrying {
  run: string
  dippedAt: EpochMs
  /** Now, where it goes on. */
  to: EpochMs
  air: NightColumns
  humidity: NightColumns
  /** Null where no test piece was in the room. */
  wax: NightColumns | null
  steps: readonly Said[]
}

export interface BoardAsk {
  recipe: DryingRecipe
  pressurePa: number
  now: EpochMs
  /** False where the test pieces were dipped with a later batch. */
  isNewest: boolean
  /** The test piece it is told from, and all that are in the room. */
  probe: string | null
  probes: readonly string[]
}

const heard = ({ t, v, quality }: NightColumns): Heard => ({
  t,
  v: quality.includes(badQuality) ? v.map((one, i) => (quality[i] === badQuality ? Number.NaN : one)) : v,
})

function courseOf(drying: HeardDrying, pressurePa: number): DryingCourse {
  const { air, humidity, wax, dippedAt, to } = drying
  const none: Heard = { t: [], v: [] }
  const all = { air: heard(air), humidity: heard(humidity), wax: wax ? heard(wax) : none, dippedAt }
  return courseOfDrying(all, dippedAt - beforeDipMs, Math.max(to, dippedAt + minuteMs), pressurePa)
}

function askOf({ dryness }: DryingRecipe): DryAsk {
  return {
    dryShare: (dryness?.leftPercent ?? 5) / 100,
    depressionMinC: dryness?.depressionMinC ?? 2.5,
    widthMax,
    sustainedMinutes: dryness?.holdMinutes ?? 10,
  }
}

/** What earlier nights and the hours before this dip teach of the piece; null where it never stood dry in its room. */
export function memoryOf(tonight: HeardDrying, past: readonly HeardDrying[], ask: BoardAsk): PieceMemory | null {
  if (tonight.wax === null) return null
  const taught = past
    .filter((p) => p.wax !== null)
    .map(
      (p): PastDrying => ({
        course: courseOf(p, ask.pressurePa),
        weighed: weighedOf(p.steps, p.dippedAt, ask.probe ?? ''),
      }),
    )
  const known = probesKnown
  return learnPiece(taught, courseOf(tonight, ask.pressurePa), known, askOf(ask.recipe).dryShare)
}

/** °C·h when somebody first said that it was dry; null where nobody did. */
function powerAtDry(drying: HeardDrying, pressurePa: number): number | null {
  const said = drying.steps.find((s) => s.step.step === 'indicator' && s.step.dry === true)
  if (!said) return null
  const course = courseOf(drying, pressurePa)
  return drivenOf(course)[Math.round((said.at - course.from) / minuteMs)] ?? null
}

function powerOf(course: DryingCourse, past: readonly HeardDrying[], pressurePa: number): DryingPower | null {
  const since = course.depressionC.subarray(course.dip)
  const seen = since.reduce((count, d) => count + (Number.isNaN(d) ? 0 : 1), 0)
  if (seen === 0) return null
  const said = past.map((p) => powerAtDry(p, pressurePa)).filter((p) => p !== null)
  return {
    soFar: drivenOf(course).at(-1) ?? 0,
    coverage: seen / since.length,
    usual: said.length === 0 ? null : { nights: said.length, from: Math.min(...said), to: Math.max(...said) },
  }
}

type Told = Pick<DipBoardItem, 'verdict' | 'unknown' | 'drySince' | 'recovery' | 'width' | 'left' | 'forecast'>

const unknown = (why: DrynessUnknown): Told => ({
  verdict: 'cannot-tell',
  unknown: why,
  drySince: null,
  recovery: null,
  width: null,
  left: null,
  forecast: null,
})

/** How much is left cannot be told then, but that it is wet can. */
const stillWet: ReadonlySet<DrynessUnknown> = new Set(['too-soon', 'still-chilling'])

/** The minute that has just begun has no readings yet. */
const seenWithinMinutes = 6

function lastSeen({ recovery }: Dryness): number {
  const last = recovery.length - 1
  for (let i = last; i > last - seenWithinMinutes; i--) if (!Number.isNaN(recovery[i] as number)) return i
  return last
}

function toldOf(course: DryingCourse, memory: PieceMemory, ask: BoardAsk): Told {
  const dryness = new Dryness(course, memory, probesKnown, askOf(ask.recipe))
  const minute = lastSeen(dryness)
  const now = dryness.at(minute)
  const dry = dryness.dryFrom()
  const instant = (i: number) => course.from + i * minuteMs
  const forecast = dryness.forecast(minute)
  const inHours = (hours: number) => Math.round(instant(minute) + hours * hourMs)
  return {
    verdict: dry !== null ? 'dry' : now.cannotTell === null || stillWet.has(now.cannotTell) ? 'not-yet' : 'cannot-tell',
    unknown: dry !== null ? null : now.cannotTell,
    drySince: dry === null ? null : instant(dry),
    recovery: Number.isNaN(now.recovery) ? null : now.recovery,
    width: Number.isNaN(now.width) ? null : now.width,
    left: now.moisture,
    forecast:
      dry !== null || forecast === null
        ? null
        : { at: inHours(forecast.hours), lowAt: inHours(forecast.lowHours), highAt: inHours(forecast.highHours) },
  }
}

export function boardItem(
  drying: HeardDrying,
  past: readonly HeardDrying[],
  memory: PieceMemory | null,
  ask: BoardAsk,
): Omit<DipBoardItem, 'station' | 'piece' | 'startedBy'> {
  const { recipe, pressurePa } = ask
  const course = courseOf(drying, pressurePa)
  const told = !ask.isNewest
    ? unknown('other-batch')
    : drying.wax === null
      ? unknown('no-probe')
      : memory === null
        ? unknown('no-dry-hours')
        : toldOf(course, memory, ask)
  const at = (hours: number | undefined) => (hours === undefined ? null : drying.dippedAt + hours * hourMs)
  const indicator = drying.steps.findLast((s) => s.step.step === 'indicator')
  return {
    run: drying.run,
    recipe: recipe.id,
    startedAt: drying.dippedAt,
    earliestAt: at(recipe.hoursMin),
    latestAt: at(recipe.hoursMax),
    probe: ask.isNewest ? ask.probe : null,
    probes: [...ask.probes],
    ...told,
    dryShare: askOf(recipe).dryShare,
    taught: memory?.nights.length ?? 0,
    power: powerOf(course, past, pressurePa),
    weighings: drying.steps.flatMap(({ step, at: when, by }) =>
      step.step === 'weigh' && step.grams !== undefined
        ? [{ at: when, grams: step.grams, probe: step.probe ?? null, by }]
        : [],
    ),
    indicator: indicator ? { at: indicator.at, dry: indicator.step.dry === true, by: indicator.by } : null,
  }
}

const order: Record<DipBoardItem['verdict'], number> = { dry: 0, 'cannot-tell': 1, 'not-yet': 2 }

/** Of several test pieces the one that is least dry speaks for the batch: a pocket dries long after an open face. */
export function leastDry<T extends Pick<DipBoardItem, 'verdict' | 'left' | 'forecast'>>(
  items: readonly T[],
): T | undefined {
  const wet = (i: T) => i.left ?? 0
  return [...items].sort(
    (a, b) => order[b.verdict] - order[a.verdict] || (b.forecast?.at ?? 0) - (a.forecast?.at ?? 0) || wet(b) - wet(a),
  )[0]
}
