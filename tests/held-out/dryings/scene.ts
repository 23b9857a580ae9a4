/** What a held-out drying is: what a foundry sees of it, what its people know, and what nobody sees. */

export const geometries = ['open-face', 'edge', 'deep-pocket'] as const
export type Geometry = (typeof geometries)[number]

/** What the room does while the asked coat dries. */
export const kinds = [
  'steady',
  'cycles',
  'dayNight',
  'coolingRoom',
  'warmingRoom',
  /** The door lets damp air in while the coat is wet: raw wax temperature rises and nothing dries. */
  'trap',
  /** The door at any moment, with a corridor drier or damper than the room. */
  'door',
  'dehumidifierOff',
  /** 80–92 % all night: no estimate can tell. */
  'noDepression',
] as const
export type Kind = (typeof kinds)[number]

/** Times rise; ms since 1970. */
export interface Series {
  t: number[]
  v: number[]
}

export interface Happening {
  from: number
  until: number
  what: 'cools' | 'warms' | 'door' | 'dehumidifier-off' | 'climate-unseen' | 'wax-unseen'
}

export interface DryingTruth {
  /** Grid of two minutes. */
  t: number[]
  /** Share of the water that the shell held just after the dip; 0 before it. */
  moisture: number[]
  /** R; see `star` in the run for the lag behind it. */
  recovery: number[]
  waxC: number[]
  airC: number[]
  wetBulbC: number[]
  airStarC: number[]
  wetBulbStarC: number[]
  /** End of the stage in which the outer surface is wet. */
  wetUntil: number | null
  /** Moisture at most 5 %: may be dipped again. Null: not within what was recorded. */
  dryAt: number | null
  /** Moisture at most 1 %. */
  finalDryAt: number | null
  happenings: Happening[]
  /** What does not close in the books, relative to what went through them. */
  heatLeft: number
  waterLeft: number
}

/** One night of one test piece. */
export interface DryingRun {
  id: string
  kind: Kind
  dippedAt: number
  /** One climate probe: both have the same times. Humidity in percent. */
  air: Series
  humidity: Series
  wax: Series
  /** Weighings that people did (of earlier runs only): share of the dip's water still there, with the scale's noise. */
  weighings: Series
  truth: DryingTruth
}

export interface DryingScene extends DryingRun {
  geometry: Geometry
  coat: 'prime' | 'backup'
  /** Coats that were on it before this dip. */
  coatsBefore: number
  pressurePa: number
  /** Standard uncertainties, as the house knows them: °C, °C, percent humidity. */
  known: { waxC: number; airC: number; humidity: number }
  /** The same piece, prepared to the same coat, with the same probes in the same room on other nights; oldest first. */
  earlier: DryingRun[]
}
