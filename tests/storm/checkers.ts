/** What must be true after any storm, each asked on its own. */
import type { Store } from '../../gateway/store/store.ts'
import { type Entry, intakeWaitingMax } from '../../shared/contract/index.ts'
import { byArrival, emptyHouse } from '../../shared/judge/index.ts'
import type { Ear } from './ear.ts'
import type { Sent, Storm } from './weather.ts'

export async function journalOf(store: Store): Promise<Entry[]> {
  const all: Entry[] = []
  for (;;) {
    const page = await store.journal(all.at(-1)?.seq ?? 0, 20_000)
    if (page.length === 0) return all
    all.push(...page)
  }
}

/** Acknowledged readings that are not there exactly once, with the value that was sent. Known by the instant that the device gave. */
export function notOnce(acknowledged: readonly Sent[], journal: readonly Entry[]): string[] {
  const found = new Map<string, number[]>()
  for (const entry of journal) {
    if (entry.kind !== 'reading') continue
    const key = `${entry.series}@${entry.claimedAt ?? entry.measuredAt}`
    found.set(key, [...(found.get(key) ?? []), entry.value])
  }
  return acknowledged.flatMap(({ instrument, at, celsius }) => {
    const values = found.get(`${instrument}.temperature@${at}`) ?? []
    return values.length === 1 && values[0] === celsius
      ? []
      : [`${instrument} at ${at}: sent ${celsius}, stored ${JSON.stringify(values)}`]
  })
}

/** Findings that were kept, and those of the same journal folded from its beginning. */
export async function findingsTwoWays(store: Store, journal: readonly Entry[]) {
  const byId = <T extends { id: string }>(list: readonly T[]) => [...list].sort((a, b) => (a.id < b.id ? -1 : 1))
  const kept = byId(await store.findings({ limit: 1_000_000 }))
  return { kept, replayed: byId(byArrival(emptyHouse(), journal).findings) }
}

/** What the ears complain of, and stretches in which they heard more or fewer readings than were stored. */
export function misheard(ears: readonly Ear[], journal: readonly Entry[]): string[] {
  const seqs = journal.filter((e) => e.kind === 'reading').map((e) => e.seq)
  const stored = (after: number, upTo: number) => seqs.filter((seq) => seq > after && seq <= upTo).length
  return ears.flatMap((ear) => [
    ...ear.complaints,
    ...ear.stretches
      .filter((s) => s.readings !== stored(s.after, s.upTo))
      .map(
        (s) => `Between ${s.after} and ${s.upTo} an ear heard ${s.readings} readings of ${stored(s.after, s.upTo)}.`,
      ),
  ])
}

export function queuesWithinLimits(storm: Storm): boolean {
  return storm.waitingMost <= intakeWaitingMax
}
