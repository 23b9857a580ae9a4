/** The course of a pot: what its forecast knows of it, sample by sample, and what it has learnt of this pot. Plain data. */
import type { DurationMs, EpochMs } from '../../time.ts'

/** What was typed of a pot; null where nobody said. */
export interface CourseFacts {
  waxKg: number | null
  heaterW: number | null
  setPointC: number | null
  congealing: { fromC: number; toC: number } | null
}

/** What came in at one instant. Null: nothing good came, or there is no such instrument. */
export interface CourseSample {
  t: EpochMs
  waxC: number | null
  surfaceC: number | null
  airC: number | null
  heating: boolean | null
}

/** A point of the trace: the median of some ten seconds. */
export interface Point {
  t: EpochMs
  c: number
}

/** What was learnt of this pot over its coolings. */
export interface Learnt {
  /** Coolings it was learnt from. */
  scenes: number
  /** By bins of temperature: ln of how much faster than the bare law the wax falls there, and of how many coolings. */
  bend: readonly number[]
  seen: readonly number[]
  /** ln of the scale of each of its last coolings, the newest last. */
  scales: readonly number[]
  /** Highest its thermostat let it come, °C: the newest turns, the newest last. */
  tops: readonly number[]
  /** °C/s that its heater gave in its last heat-ups, losses made good, the newest last. */
  pushes: readonly number[]
  /** Past errors of its own forecasts, in units of their foretold spread, by class of lead. */
  misses: readonly (readonly number[])[]
}

/** A forecast that was made silently, to be held against what happens. */
export interface Wager {
  targetC: number
  madeAt: EpochMs
  at: EpochMs
  spread: number
}

export interface Course {
  /** Of the open ten seconds: since when, and what came. */
  openAt: EpochMs | null
  open: readonly number[]
  /** Closed ones, rising, at most half an hour. */
  points: readonly Point[]
  /** Where the course that goes on now began: the last turn, or the last break. */
  since: EpochMs
  /** Points that do not fit what came before, waiting to be believed. */
  odd: readonly Point[]
  /** When something last happened to it that is no cooling and no heating. */
  shakenAt: EpochMs | null
  /** Turns of the last hours, oldest first: highs and lows of a thermostat. */
  turns: readonly (Point & { high: boolean })[]
  airC: number | null
  heating: boolean | null
  /** Whether the contact leads, or the surface while no contact sees. */
  lead: 'wax' | 'surface'
  /** The cooling that goes on, by bins: how far it fell there, °C, and how far the bare law at scale 1 would have let it. */
  rates: readonly { fellC: number; bareC: number }[]
  wagers: readonly Wager[]
  learnt: Learnt
}

export const bucketMs: DurationMs = 10_000
/** Bins of 2 °C from 40 to 130 °C. */
export const binC = 2
export const binFromC = 40
export const bins = 45

export const noLearning: Learnt = {
  scenes: 0,
  bend: Array.from({ length: bins }, () => 0),
  seen: Array.from({ length: bins }, () => 0),
  scales: [],
  tops: [],
  pushes: [],
  misses: [[], [], []],
}

export const newCourse: Course = {
  openAt: null,
  open: [],
  points: [],
  since: 0,
  odd: [],
  shakenAt: null,
  turns: [],
  airC: null,
  heating: null,
  lead: 'wax',
  rates: Array.from({ length: bins }, () => ({ fellC: 0, bareC: 0 })),
  wagers: [],
  learnt: noLearning,
}

/** The mean of what lies near the middle: a dial's steps average out, a dip does not count. */
export function middleOf(values: readonly number[]): number {
  const middle = medianOf(values)
  const off = values.map((v) => Math.abs(v - middle))
  const near = 3 * medianOf(off) + 0.15
  const kept = values.filter((v) => Math.abs(v - middle) <= near)
  return kept.reduce((sum, v) => sum + v, 0) / kept.length
}

/** How unquiet a trace is, °C: what a point lies off the line between its neighbours. */
export function unrestOf(points: readonly Point[]): number {
  const from = Math.max(1, points.length - 45)
  const offs: number[] = []
  for (let i = from; i + 1 < points.length; i++) {
    const [a, b, c] = [points[i - 1] as Point, points[i] as Point, points[i + 1] as Point]
    offs.push(Math.abs(b.c - (a.c + c.c) / 2))
  }
  return offs.length < 5 ? 0.1 : Math.max(0.02, (1.4826 * medianOf(offs)) / 1.2247)
}

export const binOf = (c: number): number => Math.max(0, Math.min(bins - 1, Math.floor((c - binFromC) / binC)))

export function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  return sorted.length % 2 === 1
    ? (sorted[half] as number)
    : ((sorted[half - 1] as number) + (sorted[half] as number)) / 2
}
