/** Where looks become doubts: they are weighed, and a stronger verdict takes away the weaker ones about the same instrument. */
import type { EpochMs } from '../../time.ts'
import type { Examination } from './exam.ts'
import type { ExaminedStation } from './station.ts'
import { type Look, type Suspected, weighed } from './suspicion.ts'

/** Families whose verdict leaves no room for others about the same instrument: what it shows is no temperature of its place at all. */
const outranking: ReadonlySet<string> = new Set(['single', 'pair'])
const outranked: ReadonlySet<string> = new Set([
  'noise',
  'blind',
  'infrared',
  'immersion',
  'ordering',
  'ageing',
  'moved',
  'clocks',
])

/** Families that hold an instrument against another, which must itself be believed. */
const hangsOn: ReadonlySet<string> = new Set(['blind', 'infrared'])
/** Families that compare what two say at one time: of two clocks that are apart, they tell nothing. */
const comparing: ReadonlySet<string> = new Set([
  'blind',
  'infrared',
  'immersion',
  'pair',
  'ordering',
  'ageing',
  'moved',
])

function isMisplaced(kind: string): boolean {
  return (
    kind === 'at-the-wall' ||
    kind === 'out-of-wax' ||
    kind === 'in-solid' ||
    kind === 'wrong-type' ||
    kind === 'reversed'
  )
}

/** Lets looks count, and clears away what a stronger verdict leaves without meaning. */
export function withLooks(
  station: ExaminedStation,
  exam: Examination,
  looks: readonly Look[],
  t: EpochMs,
): Examination {
  if (looks.length === 0) return exam
  const ids = station.instruments.map(({ id }) => id)
  let held: Suspected = { suspicions: exam.watch.suspicions, doubts: exam.doubts }
  for (const look of looks) held = weighed(held, look, t, ids)
  if (held.suspicions === exam.watch.suspicions) return exam
  const isWrong = (i: number) =>
    held.suspicions.some((o) => o.told && o.instrument === i && (outranking.has(o.family) || isMisplaced(o.kind)))
  const isApart = (i: number) => held.suspicions.some((o) => o.told && o.instrument === i && o.family === 'clocks')
  const gone = held.suspicions.filter(
    (s) =>
      // Held against one that is itself found wrong, nothing was shown; against another hour, still less.
      (hangsOn.has(s.family) && s.against >= 0 && isWrong(s.against)) ||
      (comparing.has(s.family) && (isApart(s.instrument) || (s.against >= 0 && isApart(s.against)))) ||
      (outranked.has(s.family) &&
        held.suspicions.some((o) => o.told && o.instrument === s.instrument && outranking.has(o.family))) ||
      // Two that were held to be right and apart are not, once one of them is found wrong.
      (s.kind === 'not-stirred' &&
        held.suspicions.some((o) => o.told && o.instrument === s.against && isMisplaced(o.kind))),
  )
  const doubts = held.doubts.filter(
    (d) => !gone.some((s) => s.told && s.kind === d.kind && ids[s.instrument] === d.instrument),
  )
  return {
    ...exam,
    doubts: doubts.length === held.doubts.length ? held.doubts : doubts,
    watch: {
      ...exam.watch,
      suspicions: gone.length === 0 ? held.suspicions : held.suspicions.filter((s) => !gone.includes(s)),
    },
  }
}
