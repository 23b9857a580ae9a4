/** The newest message of whoever is not claimed, as it came: by it people recognise what speaks. Bounded; lost at a restart. */
import type { EpochMs } from '../../shared/time.ts'
import { shownPayload } from './shown.ts'

/** So many strangers are remembered. Reason: more than anybody claims in one go. */
const strangersMax = 256
/** Of each message so much. Reason: one reading of any format; not a backlog. */
const bytesMax = 1_024

export interface Message {
  topic: string
  payload: string
  at: EpochMs
}

export class Overheard {
  /** The one that was heard longest ago first. */
  readonly #last = new Map<string, { topic: string; payload: Uint8Array; at: EpochMs }>()

  note(instrument: string, topic: string, payload: Uint8Array, at: EpochMs): void {
    this.#last.delete(instrument)
    // A copy: the bytes belong to a packet of many.
    this.#last.set(instrument, { topic, payload: payload.slice(0, bytesMax), at })
    if (this.#last.size <= strangersMax) return
    for (const oldest of this.#last.keys()) return void this.#last.delete(oldest)
  }

  of(instrument: string): Message | undefined {
    const last = this.#last.get(instrument)
    return last && { topic: last.topic, payload: shownPayload(last.payload), at: last.at }
  }
}
