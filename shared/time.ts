/** Time as the house knows it: instants, durations, and the clock interface. No implementation lives here, so no hidden now(). */

/** Milliseconds since 1970-01-01T00:00Z. Whole numbers. */
export type EpochMs = number

/** A length of time in milliseconds. */
export type DurationMs = number

/** Where time comes from. Everything that needs the time is handed one of these. */
export interface Clock {
  /** The wall time of the site, which may be wrong, and may step. */
  now(): EpochMs
  /** Elapsed time that never steps: the yardstick that shows a step of `now`. */
  elapsed(): DurationMs
  /** Seconds of this clock in one second of the world: 1 for a real one, 60 in a demo that runs fast, 0 when led step by step. */
  readonly pace: number
  /** Runs once after this much of the clock's own time; the returned function calls it off. */
  after(delay: DurationMs, run: () => void): () => void
  /** Runs when the present turn of the event loop is over: how a batch knows that nothing more came with it. */
  soon(run: () => void): void
}

export const secondMs = 1_000
export const minuteMs = 60_000
export const hourMs = 3_600_000
/** Of UTC; a local day may have 23 or 25 hours. */
export const dayMs = 86_400_000
