/** A run: one pattern, batch or load following one recipe revision. */
import { z } from 'zod'
import type { BurnoutView } from './burnout.ts'
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
  /** Of a coating: whether the mould is smooth or textured; textured where nobody says. */
  surface: z.enum(['smooth', 'textured']).optional(),
  /** The pots its coats may come from, its own station among them; its own alone where none is named. */
  pots: z.array(Name).min(1).max(12).optional(),
  /** Epoch ms; now where absent. */
  startedAt: z.int().min(0).optional(),
  /** For a run declared over a period that is over. */
  endedAt: z.int().min(0).optional(),
})
export type RunDeclaration = z.infer<typeof RunDeclaration>

export const RunStep = z.strictObject({
  /**
   * `coat`: it went on; `hand`: a step for people of a burnout is done; `appoint`: another load probe governs; `pull`, `pour`: the load is
   * out of the kiln, the metal is in; `weigh`: the test piece of a drying was weighed; `indicator`: its colour was read; `note`: free text.
   */
  step: z.enum(['coat', 'note', 'hand', 'appoint', 'pull', 'pour', 'weigh', 'indicator']),
  coat: Name.optional(),
  /** Which step of the recipe was done. */
  hand: Name.optional(),
  /** The instrument that governs from now on, and the one in whose place it does. */
  probe: Name.optional(),
  instead: Name.optional(),
  /** The pot it came from; where nobody says, the one whose wax is in the window, else the run's own. */
  pot: Name.optional(),
  text: Label.optional(),
  /** What the scale said, g: the whole piece, each time the same way. */
  grams: z.number().positive().max(1_000_000).optional(),
  /** What the indicator said. */
  dry: z.boolean().optional(),
})
export type RunStep = z.infer<typeof RunStep>

/** Where a coating stands: which coat may go on now, and which is next. */
export interface CoatingView {
  kind: 'coating'
  temperatureC: number | null
  /** Coats put on, in order, each with when and at which temperature. */
  done: CoatDone[]
  /** The coats this pattern gets, in order: a smooth mould is spared the ones that only texture asks for. */
  asked: string[]
  /** The coat whose window is open for the wax as it is now; null when none is, or when the pot cannot be seen. */
  open: string | null
  /** The pot whose wax is in that window. */
  openIn: string | null
  /** The next coat not yet on. */
  next: string | null
  /** When the next one may go on by the wait after the one before; absent where the recipe asks none. */
  wait?: { earliestAt: number | null; latestAt: number | null }
}

/** One coat as it went on. */
export interface CoatDone {
  coat: string
  at: number
  pot: string
  temperatureC: number | null
  inWindow: boolean | null
  /** Of the mould, where an instrument knows it. */
  mouldC: number | null
  /** Minutes after the coat before; null for the first. Against the recipe's wait: too soon, too late, or kept. */
  waitMinutes: number | null
  waitKept: 'kept' | 'too-soon' | 'too-late' | null
  by: string
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

export type RunProgress = CoatingView | DryingView | BurnoutView

export interface Run {
  id: string
  kind: RunKind
  station: string
  recipe: string
  revision: number
  piece?: string
  surface?: 'smooth' | 'textured'
  pots?: string[]
  startedAt: number
  startedBy: string
  closed?: { at: number; by: string; reason: string }
  /** Judged by measurement over a past period. */
  declared: boolean
  progress: RunProgress
}
