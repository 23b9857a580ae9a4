/** Pot care: conditioned or not, minutes to the ceiling, a heater that does not cut off, wax that grows old, pots left on. Pure. */
import type { Conditioning, Finding } from '../../contract/index.ts'
import { type EpochMs, hourMs, minuteMs } from '../../time.ts'
import { clear, type Draft, type Raise, raise, type Scene } from '../draft.ts'
import type { CourseSample } from '../forecast/index.ts'
import type { PotRules } from '../pot-rules.ts'
import { conditioned, heldIn } from './conditioning.ts'
import { calmC, risen, risingPerMinute } from './rise.ts'
import type { CareState } from './state.ts'
import { topped, usualTopC } from './top.ts'

/** The ceiling is told so long before it is reached, min: twice what the promise asks. Common practice, no source. */
const leadMinutes = 20
/** Past its usual top by so much it should have turned, °C: noise, a stir, a little more on the dial. */
const marginC = 4
/** Slower than this is no heater that stays on, °C/min. */
const climbs = 0.12
/** Liquid above this where no data sheet says it, °C (our assumption). */
const liquidC = 60
/** A hole longer than this counts as unseen: nobody knows whether the wax was hot. */
const unseenMs = 30 * minuteMs

type PotFinding = 'nearing-ceiling' | 'no-cut-off' | 'left-on' | 'wax-old'

function standing(care: CareState, kind: PotFinding): Finding | undefined {
  return care.findings.find((f) => f.kind === kind)
}

/** Announces, keeps or ends a finding. `what` null: its reason is gone. */
function told<K extends PotFinding>(
  draft: Draft,
  scene: Scene,
  care: CareState,
  kind: K,
  at: EpochMs,
  what: Raise<K>['facts'] | null,
  keep = false,
): CareState {
  const before = standing(care, kind)
  if (what !== null && !before) {
    const finding = raise(draft, scene, { kind, subject: scene.rules.station.id, since: at, facts: what })
    return { ...care, findings: [...care.findings, finding] }
  }
  if (what === null && before && !keep) {
    clear(draft, scene, before, at)
    return { ...care, findings: care.findings.filter((f) => f !== before) }
  }
  return care
}

/** Where it comes to its ceiling: null unless it rises past where it always turned, with no cut-off seen. */
function climbing(rules: PotRules, care: CareState, c: number, heating: boolean | null) {
  const cPerMinute = risingPerMinute(care.rise)
  const topC = usualTopC(care.tops, rules.facts.setPointC)
  if (cPerMinute === null || cPerMinute < climbs || heating === false) return null
  // Where nobody knows its top, only the ceiling itself can be far too near.
  const isPast = topC === null ? false : c > topC + marginC
  const minutes = rules.ceilingC === null ? Infinity : Math.max(0, (rules.ceilingC - c) / cPerMinute)
  return { cPerMinute, topC, isPast, minutes }
}

/** Minutes in which a pot of which nothing is known would be at its ceiling, when it is told all the same. */
const unknownMinutes = 7

function runsAway(
  draft: Draft,
  scene: Scene,
  rules: PotRules,
  care: CareState,
  t: EpochMs,
  c: number,
  heating: boolean | null,
): CareState {
  const climb = climbing(rules, care, c, heating)
  const rate = risingPerMinute(care.rise)
  // It ends when it has truly turned, not when noise stands still.
  const hasTurned = heating === false || (rate !== null && rate < -0.1)
  const isPast = climb?.isPast ?? false
  const nearsCeiling =
    climb !== null &&
    rules.ceilingC !== null &&
    (isPast ? climb.minutes <= leadMinutes : climb.topC === null && climb.minutes <= unknownMinutes)
  const nearing = nearsCeiling
    ? {
        minutes: Math.round(climb.minutes),
        valueC: c,
        ceilingC: rules.ceilingC as number,
        cPerMinute: climb.cPerMinute,
      }
    : null
  const next = told(draft, scene, care, 'nearing-ceiling', t, nearing, !hasTurned)
  const stays =
    isPast && climb?.topC != null
      ? {
          valueC: c,
          usualTopC: climb.topC,
          drawsCurrent: heating,
          overdueMinutes: Math.round((c - climb.topC) / climb.cPerMinute),
        }
      : null
  return told(draft, scene, next, 'no-cut-off', t, stays, !hasTurned)
}

function aged(rules: PotRules, care: CareState, t: EpochMs, c: number): CareState {
  const isHot = c > (rules.facts.congealing?.toC ?? liquidC)
  const gapMs = care.lastAt === null ? 0 : t - care.lastAt
  const wasHot = care.lastC !== null && care.lastC > (rules.facts.congealing?.toC ?? liquidC)
  const counts = isHot && wasHot && gapMs > 0 && gapMs <= unseenMs
  return {
    ...care,
    lastAt: t,
    lastC: c,
    batchSince: care.batchSince ?? t,
    waxHours: care.waxHours + (counts ? gapMs / hourMs : 0),
    onSince: !isHot ? null : care.onSince !== null && gapMs <= unseenMs ? care.onSince : t,
  }
}

function leftOn(draft: Draft, scene: Scene, rules: PotRules, care: CareState, t: EpochMs): CareState {
  const { leftOnHours } = rules.setting
  const since = Math.max(care.onSince ?? t, care.workedAt ?? 0)
  const isLeft = leftOnHours !== undefined && care.onSince !== null && t - since >= leftOnHours * hourMs
  const facts = isLeft
    ? { onSince: care.onSince as EpochMs, hours: (t - since) / hourMs, valueC: care.lastC ?? 0 }
    : null
  return told(draft, scene, care, 'left-on', t, facts)
}

function growsOld(draft: Draft, scene: Scene, rules: PotRules, care: CareState, t: EpochMs): CareState {
  const { batchHours } = rules.setting
  const isOld = batchHours !== undefined && care.waxHours >= batchHours
  return told(draft, scene, care, 'wax-old', t, isOld ? { hours: care.waxHours, batchHours } : null)
}

/** One more sample of the wax, in rising time. `fresh`: it speaks of now, so that it may raise an alarm. */
export function careFor(
  draft: Draft,
  scene: Scene,
  rules: PotRules,
  before: CareState,
  sample: CourseSample,
  fresh: boolean,
): CareState {
  const c = sample.waxC ?? sample.surfaceC
  if (c === null) return before
  const { t, heating } = sample
  const wasPast = standing(before, 'no-cut-off') !== undefined
  const rise = risen(before.rise, t, c)
  const calm = rise.means === before.rise.means ? null : calmC(rise)
  let care: CareState = {
    ...aged(rules, before, t, c),
    rise,
    // What runs away teaches nothing about where it turns.
    tops: wasPast || calm === null ? before.tops : topped(before.tops, t, calm),
    held: heldIn(rules.recipe, before.held, t, c),
  }
  if (!fresh) return care
  care = runsAway(draft, scene, rules, care, t, c, heating)
  care = leftOn(draft, scene, rules, care, t)
  return growsOld(draft, scene, rules, care, t)
}

/** Somebody stirred the wax, took a coat from it, or put a new batch in. */
export function stirred(care: CareState, at: EpochMs): CareState {
  return { ...care, held: { ...care.held, stirredAt: at }, workedAt: at }
}
export function worked(care: CareState, at: EpochMs): CareState {
  return { ...care, workedAt: at }
}
export function renewed(care: CareState, at: EpochMs): CareState {
  return { ...care, waxHours: 0, batchSince: at }
}

export function conditioningOf(rules: PotRules, care: CareState, waxC: number | null): Conditioning {
  return conditioned(rules.recipe, rules.facts.congealing?.toC ?? null, care.held, waxC)
}

/** When it would come to its ceiling on its present rise; null where it is not on the way past where it always turned. */
export function ceilingOf(rules: PotRules, care: CareState, now: EpochMs): { ceilingC: number; at: EpochMs } | null {
  const finding = standing(care, 'nearing-ceiling')
  if (!finding || rules.ceilingC === null || care.lastC === null) return null
  const climb = climbing(rules, care, care.lastC, null)
  return climb === null ? null : { ceilingC: rules.ceilingC, at: now + climb.minutes * minuteMs }
}
