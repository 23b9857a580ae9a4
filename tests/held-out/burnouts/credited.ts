/** When a soak is credited and a load ready, by probes without noise, counted step by step; independent of the product's judge. */
export interface Truth {
  see(t: number, airC: number, loadC: number, mayCount: boolean): void
  isCredited(): boolean
  creditedAt(): number | null
  readyAt(): number | null
}

export function creditedAndReady(floorC: number, askedMs: number, atMostC: number): Truth {
  let last: number | null = null
  let wasIn = false
  let credited = 0
  let creditedAt: number | null = null
  let readyAt: number | null = null
  return {
    see(t, airC, loadC, mayCount) {
      const isIn = mayCount && airC >= floorC && loadC >= floorC
      if (last !== null && isIn && wasIn && creditedAt === null) {
        credited += t - last
        if (credited >= askedMs) creditedAt = t - (credited - askedMs)
      }
      if (creditedAt !== null) {
        if (loadC > atMostC) readyAt = null
        else readyAt ??= t
      }
      ;[last, wasIn] = [t, isIn]
    },
    isCredited: () => creditedAt !== null,
    creditedAt: () => creditedAt,
    readyAt: () => readyAt,
  }
}
