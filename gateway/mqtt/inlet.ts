/** The inlet: where publishes come from. The broker within and the subscriber to a broker outside are two bodies of it. */
import type { EpochMs } from '../../shared/time.ts'

export interface Publish {
  topic: string
  payload: Uint8Array
  arrivedAt: EpochMs
  /** Handed over by a broker from its memory, not sent just now: never taken as live. */
  retained: boolean
}

/** `done` is called when the publish is on disk; only then may it be acknowledged. It is never called for one that could not be kept. */
export type Take = (publish: Publish, done: () => void) => void

export interface InletState {
  /** How instruments reach it, for example `mqtt://127.0.0.1:1883`. */
  address: string
  connected: boolean
  /** One sentence where something stands in its way. */
  trouble: string | null
}

export interface Inlet {
  /** Begins to take. Resolves when instruments can reach it (broker within) or when it has begun to call (broker outside). */
  open(take: Take): Promise<void>
  state(): InletState
  /** Takes what is published on these topic filters too; in place of those named before. */
  alsoTake(filters: readonly string[]): void
  /** Says something to lamps, horns and scripts below `cirewatch/site/`, or back to whoever published. */
  say(topic: string, payload: string | Uint8Array, retain: boolean): void
  /** Lets the connections go; what was not acknowledged will come again. */
  close(): Promise<void>
}
