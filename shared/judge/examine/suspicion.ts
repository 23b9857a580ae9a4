/** Suspicions: a sign must be seen again and again before it becomes a doubt, and unseen as often before it goes. */
import type { Doubt, DoubtKind, Evidence } from '../../contract/index.ts'
import type { EpochMs } from '../../time.ts'

/** Rooms of thought that judge an instrument each for itself. Within one, an instrument is suspected of one thing at a time. */
export type Family =
  | 'single'
  | 'noise'
  | 'blind'
  | 'infrared'
  | 'immersion'
  | 'pair'
  | 'clocks'
  | 'ordering'
  | 'ageing'
  | 'moved'

export interface Sign {
  kind: DoubtKind
  against?: number
  /** How many looks must have shown it. */
  need: number
  evidence: readonly Evidence[]
  ruledOut?: Doubt['ruledOut']
}

/** One look of one family at one instrument. Without a sign: it looked, and all was well. What nobody could judge is no look. */
export interface Look {
  family: Family
  instrument: number
  sign: Sign | null
}

export interface Suspicion {
  family: Family
  kind: DoubtKind
  instrument: number
  against: number
  since: EpochMs
  count: number
  /** Looks in a row that did not show it. */
  missed: number
  told: boolean
}

/** A told doubt goes after so many looks without its sign, or as many as it took to tell it. */
const fadeLooksMin = 10
/** Layers come and go with stirring: they are one doubt through a day of stirring, not one after each. */
const fadeLooksLong = 25
/** For an infrared instrument that is seen to itself: when it has long come back to its best, it was for good. */
const fadeLooksView = 20
/** An untold one may miss this many in a row: noise hides a sign now and then. */
const missedMax = 3

export interface Suspected {
  suspicions: readonly Suspicion[]
  doubts: readonly Doubt[]
}

function isOf(s: Suspicion, look: Look): boolean {
  return s.instrument === look.instrument && s.family === look.family
}

function fadesAfter({ family, count }: Suspicion): number {
  const least = family === 'infrared' ? fadeLooksView : family === 'immersion' ? fadeLooksLong : fadeLooksMin
  return Math.max(least, Math.min(count, 60))
}

/** The suspicion after a look that did not show it; null where nothing is left of it. */
function doubted(s: Suspicion): Suspicion | null {
  const missed = s.missed + 1
  if (s.told ? missed > fadesAfter(s) : missed > missedMax) return null
  return { ...s, missed }
}

export function doubtOf(s: Suspicion, sign: Sign, ids: readonly string[]): Doubt {
  const against = sign.against === undefined ? undefined : ids[sign.against]
  return {
    kind: s.kind,
    instrument: ids[s.instrument] as string,
    ...(against === undefined ? {} : { against }),
    since: s.since,
    evidence: sign.evidence,
    ruledOut: sign.ruledOut ?? [],
  }
}

/** Lets one look count. */
export function weighed(before: Suspected, look: Look, t: EpochMs, ids: readonly string[]): Suspected {
  const { sign } = look
  const mine = before.suspicions.filter((s) => isOf(s, look))
  if (mine.length === 0 && sign === null) return before
  const known = sign && mine.find((s) => s.kind === sign.kind)
  const rest = mine.filter((s) => s !== known).map(doubted)
  let kept = rest.filter((s) => s !== null)
  let told: Doubt | null = null
  if (sign) {
    const held: Suspicion = known
      ? { ...known, count: known.count + 1, missed: 0, against: sign.against ?? -1 }
      : {
          family: look.family,
          kind: sign.kind,
          instrument: look.instrument,
          against: sign.against ?? -1,
          since: t,
          count: 1,
          missed: 0,
          told: false,
        }
    const first = !held.told && held.count >= sign.need
    const now = first ? { ...held, told: true } : held
    if (first) {
      told = doubtOf(now, sign, ids)
      // What it was taken for before gives way to what it is taken for now.
      kept = kept.filter((s) => !s.told)
    }
    kept.push(now)
  }
  const suspicions = [...before.suspicions.filter((s) => !isOf(s, look)), ...kept]
  return { suspicions, doubts: doubtsAfter(before.doubts, mine, kept, told, ids) }
}

function doubtsAfter(
  doubts: readonly Doubt[],
  mine: readonly Suspicion[],
  kept: readonly Suspicion[],
  told: Doubt | null,
  ids: readonly string[],
): readonly Doubt[] {
  const gone = mine.filter((s) => s.told && !kept.some((k) => k.told && k.kind === s.kind))
  if (gone.length === 0 && told === null) return doubts
  const left = doubts.filter((d) => !gone.some((s) => s.kind === d.kind && ids[s.instrument] === d.instrument))
  return told === null ? left : [...left, told]
}

export function isTold(suspicions: readonly Suspicion[], instrument: number, families?: readonly Family[]): boolean {
  return suspicions.some(
    (s) => s.told && s.instrument === instrument && (families === undefined || families.includes(s.family)),
  )
}
