/** A reading: one value of one series, with both its times and how far it can be trusted. */
import type { EpochMs } from '../time.ts'
import { type Quantity, quantities } from './quantity.ts'

/** `<instrument>.<quantity>`, for example `w1-mid.temperature`. */
export type SeriesId = string

export const qualities = ['good', 'uncertain', 'bad'] as const
export type Quality = (typeof qualities)[number]

/**
 * Why a reading is not good; or, of any quality, that a person brought it in from a table: then the instrument has not spoken now.
 * The order is part of what lies on disk: a new one goes to the end.
 */
export const qualityReasons = ['sensor-code', 'implausible', 'clock-wrong', 'said-by-instrument', 'brought-in'] as const
export type QualityReason = (typeof qualityReasons)[number]

export interface Reading {
  series: SeriesId
  /** The instrument's time; the time of arrival where it named none, or where its clock is wrong. */
  measuredAt: EpochMs
  value: number
  quality: Quality
  reason?: QualityReason
  /** What the instrument claimed, where its clock could not be believed. */
  claimedAt?: EpochMs
}

/** How far seconds taken for milliseconds may lie from now, once they are multiplied, to be told from a clock that is merely wrong. */
const secondsSlackMs = 86_400_000

/** True where an instant was given in seconds and taken for milliseconds: a thousand times as much is about now. */
export function isInSeconds(claimedAt: EpochMs, arrivedAt: EpochMs): boolean {
  return Math.abs(claimedAt * 1_000 - arrivedAt) < secondsSlackMs
}

export function seriesId(instrument: string, quantity: Quantity): SeriesId {
  return `${instrument}.${quantity}`
}

/** The inverse of `seriesId`; null where the text is no series id. */
export function splitSeriesId(id: SeriesId): { instrument: string; quantity: Quantity } | null {
  const dot = id.lastIndexOf('.')
  const quantity = id.slice(dot + 1) as Quantity
  return dot > 0 && quantities.includes(quantity) ? { instrument: id.slice(0, dot), quantity } : null
}
