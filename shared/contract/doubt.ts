/** A doubt: what an instrument is suspected of, and on what evidence. Named by what is wrong, never by who built it. */
import type { EpochMs } from '../time.ts'

/** What each of them means, beside the place where the trade describes it. */
export const doubtKinds = [
  /** Infrared on a pot: steadily low by a share of what it sees above its surroundings: its emissivity setting, or a glancing view. */
  'emissivity',
  /** Infrared: looks at bright metal (rim, pot wall) and reads wildly low. */
  'sees-metal',
  /** Infrared: the spot is larger than the wax and takes in rim and bench. */
  'spot-too-large',
  /** Infrared: sees the skin on still wax, below the bulk; ends when it is stirred. */
  'sees-skin',
  /** Infrared: follows something else than the wax: the lid, vapour, a film on its window. It is blind. */
  'blind',
  /** A probe in the wax touches the wall or the element and reads that. */
  'at-the-wall',
  /** A probe hangs in the air above the wax and reads the room. */
  'out-of-wax',
  /** A probe sits in the solid plug while the wax below is hot. */
  'in-solid',
  /** Two depths of one pot differ although each is right: it was not stirred. */
  'not-stirred',
  /** Type K that rests between 250 and 550 °C reads higher by the hour; gone after a heat above 650 °C. */
  'ordering',
  /** Reads lower than its twin, and more so from run to run: it ages. The cause is not claimed. */
  'ageing',
  /** Its distance to its twin jumped from one run to the next: moved, or no longer fully inserted. */
  'moved',
  /** Falls when it is heated: its leads are reversed. */
  'reversed',
  /** Off by a share that grows with the temperature, from the first: the wrong type is set, or built in. */
  'wrong-type',
  /** Nothing is connected: no value, or one pinned at an end of its scale. */
  'open-circuit',
  /** The same value, digit for digit, while others move. */
  'stuck',
  /** Its usual noise is gone. */
  'noise-vanished',
  /** Its noise has grown many times. */
  'noise-exploded',
  /** Its clock runs apart from its neighbours': the same event comes earlier or later. */
  'clock-apart',
] as const
export type DoubtKind = (typeof doubtKinds)[number]

/** One thing that was seen, as numbers; its words are made elsewhere. `what` names the measure, `at` where it was taken. */
export interface Evidence {
  what: string
  value: number
  unit: string
  /** What it would be if all were well, where that is known. */
  usual?: number
}

export interface Doubt {
  kind: DoubtKind
  /** The instrument that is doubted. */
  instrument: string
  /** The one it was held against, where there is one. */
  against?: string
  since: EpochMs
  evidence: readonly Evidence[]
  /** What was considered, and why it is not that. */
  ruledOut: readonly { kind: DoubtKind; evidence: Evidence }[]
}
