/** Bodies of the HTTP interface that are not a noun of their own. Times are epoch ms in charts, ISO 8601 UTC elsewhere. */
import { z } from 'zod'
import type { Mapping } from './mapping.ts'
import type { Quality } from './reading.ts'

/** RFC 9457 problem details, with our stable code. */
export const Problem = z.object({
  type: z.string(),
  title: z.string(),
  status: z.int(),
  code: z.string(),
  detail: z.string().optional(),
  errors: z.array(z.object({ path: z.string(), sentence: z.string() })).optional(),
})
export type Problem = z.infer<typeof Problem>

/** A chart: per pixel column the first, lowest, highest and last reading; a hole ends a piece. */
export interface ChartBody {
  series: string
  from: number
  to: number
  columns: number
  /** Everything up to this seq is in it. */
  seq: number
  /** Silence limit used to tell holes, ms. */
  silenceMs: number
  /** Times (epoch ms), rising. */
  t: number[]
  /** Values; null where a hole begins. */
  v: (number | null)[]
  /** Readings behind the columns. */
  readings: number
}

/** One line of the readings of a series. */
export interface ReadingLine {
  seq: number
  measuredAt: string
  arrivedAt: string
  value: number
  unit: string
  quality: Quality
  reason?: string
  /** Arrived after a reading measured later, or long after it was measured. */
  late: boolean
}

export interface Unreadable {
  seq: number
  at: number
  topic: string
  reason: string
  bytes: number
  /** Beginning of the payload, as text where it is text, else as hex. */
  payload: string
}

export interface Unclaimed {
  instrument: string
  firstAt: number
  lastAt: number
  readings: number
  quantities: string[]
  lastValues: Record<string, number>
  /** The newest message as it came: as text where it is text, else as hex. */
  lastPayload?: { topic: string; payload: string; at: number }
}

/** A topic of some other device that is heard, kept, and read by no mapping yet. */
export interface UnclaimedTopic {
  topic: string
  lastAt: number
  messages: number
  payload: string
  /** Ways to read it, the likeliest first, each with the sentence why. */
  guesses: { mapping: Mapping; sentence: string }[]
}

export interface UnclaimedBody {
  total: number
  items: Unclaimed[]
  topics?: UnclaimedTopic[]
}
