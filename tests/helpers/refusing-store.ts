/** A store on a disk that can be told to be full: refuses while it is, and keeps every promise otherwise. */
import type { Store } from '../../gateway/store/store.ts'

export interface RefusingStore extends Store {
  /** While true every append is refused, having kept nothing. */
  full: boolean
  /** Appends that were refused so far. */
  refusals: number
}

export function refusingStore(store: Store): RefusingStore {
  const refusing: RefusingStore = {
    full: false,
    refusals: 0,
    append: async (entries) => {
      if (refusing.full) {
        refusing.refusals++
        throw new Error('no space left on the disk')
      }
      return store.append(entries)
    },
    keep: async (kept) => {
      if (refusing.full) throw new Error('no space left on the disk')
      return store.keep(kept)
    },
    head: () => store.head(),
    damage: () => store.damage(),
    journal: (after, limit) => store.journal(after, limit),
    newest: (kind, limit, before) => store.newest(kind, limit, before),
    count: (kind) => store.count(kind),
    scan: (series, from, to) => store.scan(series, from, to),
    chart: (ask, signal) => store.chart(ask, signal),
    sums: (ask, signal) => store.sums(ask, signal),
    seal: (now, blocksMax) => store.seal(now, blocksMax),
    retire: (before) => store.retire(before),
    stock: () => store.stock(),
    summaries: () => store.summaries(),
    readingsOf: (series) => store.readingsOf(series),
    findings: (filter) => store.findings(filter),
    snapshot: () => store.snapshot(),
    close: () => store.close(),
  }
  return refusing
}
