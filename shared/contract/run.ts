/** A run: one pattern, batch or load following one recipe revision. */
import { z } from 'zod'
import { Label, Name } from './name.ts'

export const runKinds = ['coating', 'drying', 'burnout'] as const
export const RunKind = z.enum(runKinds)
export type RunKind = z.infer<typeof RunKind>

/** The kind of recipe each kind of run follows. */
export const recipeKindOf = { coating: 'wax', drying: 'drying', burnout: 'burnout' } as const

/** What a person says to start a run, or to declare one over a past period (`startedAt` in the past). */
export const RunDeclaration = z.strictObject({
  kind: RunKind,
  station: Name,
  recipe: Name,
  /** The newest revision where none is named. */
  revision: z.int().min(1).optional(),
  /** The pattern, batch or load. */
  piece: Label.optional(),
  /** Epoch ms; now where absent. */
  startedAt: z.int().min(0).optional(),
  /** For a run declared over a period that is over. */
  endedAt: z.int().min(0).optional(),
})
export type RunDeclaration = z.infer<typeof RunDeclaration>

export const RunStep = z.strictObject({
  /** `coat` with the coat's id; `note` with free text. */
  step: z.enum(['coat', 'note']),
  coat: Name.optional(),
  text: Label.optional(),
})
export type RunStep = z.infer<typeof RunStep>

/** Where a coating stands: which coat may go on now, and which is next. */
export interface CoatingView {
  kind: 'coating'
  temperatureC: number | null
  /** Coats put on, in order, each with when and at which temperature. */
  done: { coat: string; at: number; temperatureC: number | null; inWindow: boolean | null; by: string }[]
  /** The coat whose window is open for the wax as it is now; null when none is, or when the pot cannot be seen. */
  open: string | null
  /** The next coat not yet on. */
  next: string | null
}

/** Where a drying stands: how the room kept its band since the run began. Times in ms. */
export interface DryingView {
  kind: 'drying'
  temperatureC: number | null
  humidity: number | null
  seenMs: number
  inBandMs: number
  /** Outside the band now, since when. */
  outSince: number | null
}

/** Where on its recipe a burnout stands. */
export interface BurnoutView {
  kind: 'burnout'
  temperatureC: number | null
  /** Index of the segment; equal to their number when the recipe is through. */
  segment: number
  segmentSince: number
  targetC: number | null
  deviationC: number | null
  /** Credited time of the present hold, ms. */
  creditedMs: number
}

export type RunProgress = CoatingView | DryingView | BurnoutView

export interface Run {
  id: string
  kind: RunKind
  station: string
  recipe: string
  revision: number
  piece?: string
  startedAt: number
  startedBy: string
  closed?: { at: number; by: string; reason: string }
  /** Judged by measurement over a past period. */
  declared: boolean
  progress: RunProgress
}
