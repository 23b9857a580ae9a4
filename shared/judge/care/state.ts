/** What care remembers of one pot. */
import type { Finding } from '../../contract/index.ts'
import type { EpochMs } from '../../time.ts'
import { type Held, notHeld } from './conditioning.ts'
import { noRise, type RiseTrail } from './rise.ts'
import { noTops, type Tops } from './top.ts'

/** Plain data. */
export interface CareState {
  findings: readonly Finding[]
  rise: RiseTrail
  tops: Tops
  held: Held
  lastAt: EpochMs | null
  lastC: number | null
  waxHours: number
  batchSince: EpochMs | null
  onSince: EpochMs | null
  workedAt: EpochMs | null
}

export const newCare: CareState = {
  findings: [],
  rise: noRise,
  tops: noTops,
  held: notHeld,
  lastAt: null,
  lastC: null,
  waxHours: 0,
  batchSince: null,
  onSince: null,
  workedAt: null,
}
