/** What the gateway says over the WebSocket: a welcome at seq n, then frames without a gap. */
import type { EpochMs } from '../time.ts'
import type { Alarm } from './alarm.ts'
import type { Finding } from './finding.ts'
import type { Foundry } from './foundry.ts'
import type { NoAnswer } from './no-answer.ts'
import type { PotView } from './pot.ts'
import type { Quality, SeriesId } from './reading.ts'
import type { Run } from './run.ts'
import type { UndeclaredBurnout } from './undeclared.ts'

/** One point on the wire: measuredAt, value, index into `qualities`, arrivedAt − measuredAt. */
export type LivePoint = readonly [measuredAt: EpochMs, value: number, quality: 0 | 1 | 2, lagMs: number]

/** What the judge holds of a series. */
export interface SeriesView {
  series: SeriesId
  value: number
  quality: Quality
  measuredAt: EpochMs
  arrivedAt: EpochMs
  /** Why it means no temperature; then `value` is what was sent, and its quality is bad. */
  noAnswer?: NoAnswer
}

/** What the judge holds of a station: its standing findings, worst first, and its open runs. */
export interface StationView {
  station: string
  findings: Finding[]
  runs: Run[]
  /** True while none of its instruments has spoken within its silence limit. */
  unseen: boolean
  /** Of pots and bench cups: what the judge expects of the wax. */
  pot?: PotView
  /** Of kilns: burnouts that were found and nobody has said yet, the one that goes on last; absent where there are none. */
  undeclared?: UndeclaredBurnout[]
}

/** Counters that the dashboard shows as badges. */
export interface Counts {
  unreadable: number
  unclaimed: number
}

/** Time at the gateway, so that the viewer's own clock need not be right. */
export interface LiveClock {
  now: EpochMs
  pace: number
  /** False where the gateway's clock is earlier than its build: it does not know the time. */
  known: boolean
}

export interface Welcome {
  is: 'welcome'
  /** Everything up to this seq is in this message or in the store. */
  seq: number
  /** True where the frames since `?after=` follow, so that nothing is missing; false where charts must be read anew. */
  resumed: boolean
  /** The state below is that of this seq; frames up to it bring a resumed listener only the points that it missed. */
  head: number
  clock: LiveClock
  version: string
  foundryRevision: number
  foundry: Foundry
  latest: SeriesView[]
  stations: StationView[]
  /** Every alarm that is not normal. */
  alarms: Alarm[]
  counts: Counts
}

export interface Frame {
  is: 'frame'
  /** The seq of the frame before: a listener that holds another one has missed something. */
  after: number
  seq: number
  clock: LiveClock
  /** At most first, lowest, highest and last of each series, and the first bad one, where more came within one frame. */
  readings?: Record<SeriesId, LivePoint[]>
  /** Readings that the points of this frame stand for, where they were thinned. */
  standFor?: number
  stations?: StationView[]
  /** Alarms that changed; those that became normal are to be dropped. */
  alarms?: Alarm[]
  foundry?: { revision: number; foundry: Foundry }
  counts?: Counts
}

export type LiveMessage = Welcome | Frame
