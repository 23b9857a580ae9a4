/** What a held-out night of a dry room is: what its probes told, and the one cause that nobody told them. */

export const eventKinds = ['door', 'dehumidifier', 'cooling', 'heating', 'fan', 'power-cut', 'sensor'] as const
export type EventKind = (typeof eventKinds)[number]
export type Kind = EventKind | 'quiet'

/** Milliseconds since 1970; `t` rises, `arrivedAt` need not. */
export interface Track {
  t: number[]
  v: number[]
  arrivedAt: number[]
}

export interface Truth {
  from: number
  /** Null: it lasts to the end of the night. */
  to: number | null
  told: string
}

export interface RoomNight {
  kind: Kind
  /** Null of a quiet night. */
  truth: Truth | null
  /** Noon to eight in the morning; the house's clock is UTC. */
  from: number
  to: number
  elevationPressurePa: number
  house: {
    hasSecondProbe: boolean
    hasCorridor: boolean
    hasFanCurrent: boolean
    hasDoorContact: boolean
    testPieces: number
  }
  tracks: Record<string, Track>
}

/** A stretch of time in which something holds by so much; `rampS`: it takes so long to hold in full. */
export interface Stretch {
  from: number
  to: number
  share: number
  rampS?: number
}

/** The most that any stretch holds now. */
export function shareAt(stretches: readonly Stretch[], t: number): number {
  let most = 0
  for (const s of stretches) {
    if (t < s.from || t >= s.to) continue
    const share = s.rampS === undefined ? s.share : s.share * Math.min(1, (t - s.from) / (s.rampS * 1_000))
    if (share > most) most = share
  }
  return most
}

export const machines = ['dehumidifier', 'cooling', 'heating', 'fan'] as const
export type Machine = (typeof machines)[number]

/** A probe that lies. `back`: seconds in which a wet one dries. */
export type Lie = { from: number; to: number } & (
  | { how: 'wet'; humidity: number; inS: number; backS: number; coldK: number }
  | { how: 'stuck'; temperature: boolean; humidity: boolean }
  | { how: 'shift'; temperatureK: number; humidity: number }
)

/** The night's one event, as the room and its probes meet it. */
export interface Happening {
  truth: Truth
  doors: Stretch[]
  /** What share of a machine's power is missing. */
  missing: Record<Machine, Stretch[]>
  /** No mains. */
  dark: Stretch | null
  lie: Lie | null
}

/** A rack of shells, or a test piece with a thermocouple in its wax. Areas in m², heats in J/K, couplings in W/K. */
export interface Body {
  /** When it is rolled in. */
  from: number
  zone: 0 | 1
  area: number
  /** How much of the moving air finds its face: little in a pocket. */
  reach: number
  skinJ: number
  coreJ: number
  between: number
  skinC: number
  coreC: number
  waterKg: number
  /** Water with which its whole face is wet; below `critical` of it the face dries in patches. */
  fullKg: number
  critical: number
  dips: { at: number; kg: number; slurryC: number }[]
}

/** What people and neighbours do on a night, whatever else happens. */
export interface Doings {
  doors: Stretch[]
  gate: Stretch[]
  /** kg/s of water from a wet floor outside the door. */
  mop: Stretch[]
  /** W of a kiln in the same hall. */
  kiln: Stretch[]
  racks: Body[]
  pieces: Body[]
}

/** What really was, every `stepMs`: °C, Pa of vapour, shares. */
export interface Course {
  from: number
  stepMs: number
  zoneC: [Float64Array, Float64Array]
  zonePa: [Float64Array, Float64Array]
  wallC: Float64Array
  hallC: Float64Array
  hallPa: Float64Array
  outsideC: Float64Array
  outsidePa: Float64Array
  fan: Float64Array
  door: Float64Array
  wax: Float64Array[]
  /** What does not close in the books of the room, against what went through them. */
  heatLeft: number
  waterLeft: number
}
