/** Recovery: what the judge held when the gateway stopped, folded again from the newest snapshot and the journal behind it. */
import { type Entry, type Finding, type Quantity, splitSeriesId } from '../../shared/contract/index.ts'
import { emptyHouse, type House, judge, stateShape, thaw } from '../../shared/judge/index.ts'
import type { EpochMs } from '../../shared/time.ts'
import type { Store } from '../store/store.ts'

/** Entries read from the store at a time. */
const page = 20_000
/** Acts of people that the ledger of runs is made of. */
const actsMax = 1_000_000

export interface Recovered {
  house: House
  /** Findings that changed since the snapshot: they may not have been kept. */
  findings: Map<string, Finding>
  /** Time of the newest entry; null for an empty store. */
  lastAt: EpochMs | null
  strangers: {
    instrument: string
    quantity: Quantity
    value: number
    at: EpochMs
    readings: number
    firstAt: EpochMs
  }[]
}

export async function recover(store: Store, ledger: (entry: Entry) => void): Promise<Recovered> {
  const acts = await store.newest('act', actsMax)
  for (const act of acts.reverse()) ledger(act)

  const snapshot = await store.snapshot()
  const thawed = snapshot && snapshot.shape === stateShape && snapshot.seq <= store.head() ? thaw(snapshot.state) : null
  let house = thawed ?? emptyHouse()
  const findings = new Map<string, Finding>()
  for (
    let entries = await store.journal(house.seq, page);
    entries.length > 0;
    entries = await store.journal(house.seq, page)
  ) {
    for (const entry of entries) {
      const [next, changes] = judge(house, entry)
      house = next
      for (const finding of changes.findings) findings.set(finding.id, finding)
    }
  }
  return { house, findings, lastAt: house.at === 0 ? null : house.at, strangers: await strangersOf(store, house) }
}

async function strangersOf(store: Store, house: House): Promise<Recovered['strangers']> {
  const strangers: Recovered['strangers'] = []
  for (const { series, first, newest } of await store.summaries()) {
    const id = splitSeriesId(series)
    if (!id || house.rules.instrumentAt.has(id.instrument)) continue
    const readings = await store.readingsOf(series)
    strangers.push({ ...id, value: newest.value, at: newest.arrivedAt, readings, firstAt: first })
  }
  return strangers
}
