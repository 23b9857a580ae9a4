/** Bringing in the tables of stand-alone loggers: how a file is to be read (the plan), what was guessed and why, and what came of it. */
import { z } from 'zod'
import type { EpochMs } from '../time.ts'
import {
  allBringUnits,
  type BringUnit,
  bringDelimiters,
  bringEncodings,
  bringUnits,
  dateOrders,
} from './bring-choices.ts'
import { bringColumnsMax, bringPreambleLinesMax, bringSeriesMax } from './limits.ts'
import { Name } from './name.ts'
import { quantities } from './quantity.ts'
import { type Quality, seriesId, type SeriesId } from './reading.ts'
import { isTimeZone } from './site.ts'

/** Hours and minutes before or after UTC, as `+02:00`. */
const offset = /^[+-](0\d|1[0-4]):[0-5]\d$/

export function isOffset(zone: string): boolean {
  return offset.test(zone)
}

const Column = z
  .int()
  .min(0)
  .max(bringColumnsMax - 1)

export const BringValue = z
  .strictObject({ column: Column, instrument: Name, quantity: z.enum(quantities), unit: z.enum(allBringUnits) })
  .refine(({ quantity, unit }) => (bringUnits[quantity] as readonly string[]).includes(unit), {
    message: 'has a unit in which its quantity is not measured',
    path: ['unit'],
  })
export type BringValue = z.infer<typeof BringValue>

/** What a person must say before anything is stored, because the file does not. */
export const bringQuestions = ['date-order', 'decimal', 'unit', 'time', 'values'] as const
export type BringQuestion = (typeof bringQuestions)[number]

/** How a file is to be read. Guessed by the gateway, corrected by a person. */
const PlanShape = z.strictObject({
  encoding: z.enum(bringEncodings),
  delimiter: z.enum(bringDelimiters),
  decimal: z.enum(['.', ',']),
  /** Lines before the one with the names of the columns. */
  preambleLines: z.int().min(0).max(bringPreambleLinesMax),
  /** 0: no names; 1: names; 2: a line of units beneath them. */
  headLines: z.int().min(0).max(2),
  time: z.strictObject({
    /** One column, or the date's and the time's. */
    columns: z.array(Column).min(1).max(2),
    order: z.enum(dateOrders),
    /** An IANA zone, or a fixed offset such as `+01:00` of a logger that never moves its clock. A cell that names its own goes before. */
    zone: z.string().refine((zone) => isOffset(zone) || isTimeZone(zone), {
      message: 'is neither a time zone such as Europe/London nor an offset such as +01:00',
    }),
  }),
  /** A column for each series … */
  values: z.array(BringValue).max(bringSeriesMax),
  /** … or one column that names the series of each line, its value in another, in the units the gateway stores. */
  named: z.strictObject({ series: Column, value: Column }).optional(),
  /** A column that says good, uncertain or bad. */
  quality: Column.optional(),
  /** Nothing is stored while a question stands here. */
  ask: z.array(z.enum(bringQuestions)).default([]),
})

/** A cell is a time or a value, and two columns must not become one series. */
export const BringPlan = PlanShape.superRefine(({ time, values }, context) => {
  const seen = new Set<string>()
  values.forEach(({ column, instrument, quantity }, i) => {
    const complain = (message: string) => context.addIssue({ code: 'custom', path: ['values', i, 'column'], message })
    if (time.columns.includes(column)) complain('holds the time; it cannot be a value too')
    const series = seriesId(instrument, quantity)
    if (seen.has(series)) complain(`would be ${series}, as another column is already; give it another instrument`)
    seen.add(series)
  })
})
export type BringPlan = z.infer<typeof BringPlan>

export interface BringGuess {
  about: 'encoding' | 'delimiter' | 'decimal' | 'head' | 'time' | 'date-order' | 'zone' | 'column'
  column?: number
  /** `ask`: it could be otherwise, and somebody must say. */
  sure: 'sure' | 'likely' | 'ask'
  sentence: string
}

/** One line as it will be understood. */
export interface BringLine {
  line: number
  cells: string[]
  at: EpochMs | null
  values: { column: number; series: SeriesId; value: number | null; quality: Quality; said: string }[]
  /** Why it cannot be read, or what is odd about it. */
  trouble?: string
}

export interface BringLook {
  plan: BringPlan
  guesses: BringGuess[]
  /** Names of the columns, as the file has them. */
  head: string[]
  /** The lines before the head. */
  preamble: string[]
  /** Columns that could be brought in. */
  columns: number[]
  lines: BringLine[]
}

/** What came, or would come, of one series. Readings = stored + duplicates + conflicts; a conflict that was noted before counts as a duplicate once it is kept. */
export interface BringSeries {
  series: SeriesId
  readings: number
  /** Would be stored, in a dry run. */
  stored: number
  duplicates: number
  conflicts: number
  /** Kept as bad: a sensor's code, what cannot be, or what the file itself calls bad. */
  bad: number
  /** Cells that are empty or say that there was no value. */
  empty: number
  /** Unit of the file, where values were converted. */
  convertedFrom: BringUnit | null
  from: EpochMs | null
  to: EpochMs | null
  lowest: number | null
  highest: number | null
  /** Readings stored already within from … to, before this file. Only in a dry run. */
  before: number
}

export interface BringTrouble {
  line: number
  reason: string
}

export interface BringResult {
  is: 'result'
  /** False after a dry run. */
  stored: boolean
  /** Why it ended before the file did; null where all of it was read. What was kept until then stays. */
  stopped: string | null
  file: string
  sha256: string
  bytes: number
  /** Lines that hold data. */
  lines: number
  readings: number
  series: BringSeries[]
  unreadable: { count: number; first: BringTrouble[] }
  conflicts: BringTrouble[]
  clock: {
    /** Local times that never were, because the clock went forward. */
    missing: { count: number; first: BringTrouble[] }
    /** Local times that were twice: told apart by the order of the lines, or taken as the earlier. */
    twice: { told: number; assumed: number; first: BringTrouble[] }
  }
  /** Whatever else a person should know before keeping it. */
  remarks: string[]
}

export interface BringProgress {
  is: 'progress'
  bytes: number
  lines: number
  readings: number
}

/** The last line of an answer that could not be finished: a problem of RFC 9457 in a line of its own. */
export interface BringFault {
  is: 'fault'
  status: number
  code: string
  title: string
  detail: string
}

export type BringAnswer = BringProgress | BringResult | BringFault
