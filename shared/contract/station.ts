/** A station: one thing that is watched, with its standing limits, which are judged always, run or no run. */
import { z } from 'zod'
import { Label, Name } from './name.ts'
import { PotSetting } from './pot.ts'

export const stationKinds = ['pot', 'bench-cup', 'dry-room', 'kiln', 'surroundings'] as const
export const StationKind = z.enum(stationKinds)
export type StationKind = z.infer<typeof StationKind>

/** What a human would do, and by when: act now · decide this shift · read tomorrow. */
export const tiers = ['act-now', 'this-shift', 'tomorrow'] as const
export const Tier = z.enum(tiers)
export type Tier = z.infer<typeof Tier>

/** IEC 62682 asks of every alarm: what happens if nothing is done, what to do, and by when. */
export const Answer = z.strictObject({
  tier: Tier,
  consequence: Label,
  action: Label,
  respondMinutes: z.number().positive().max(10_080),
})
export type Answer = z.infer<typeof Answer>

const seconds = z.number().min(0).max(86_400)

/** Deadband and delays keep noise from chattering. They belong to the alarm, never to the statistics. */
const calm = {
  /** The value must come back past the limit by this much before the finding ends; same unit as the limit. */
  deadband: z.number().min(0).max(100).optional(),
  /** The condition must last this long before it is announced, s. */
  onDelayS: seconds.optional(),
  /** And be gone this long before it ends, s. */
  offDelayS: seconds.optional(),
  answer: Answer.optional(),
}

/** Never above. A ceiling is fire-class: nothing may delay it by more than 30 s or silence it. */
export const CeilingLimit = z.strictObject({
  kind: z.literal('ceiling'),
  instrument: Name.optional(),
  aboveC: z.number().min(-50).max(1_800),
  ...calm,
  onDelayS: z.number().min(0).max(30).optional(),
})

/** Within from … to. */
export const WindowLimit = z
  .strictObject({
    kind: z.literal('window'),
    instrument: Name.optional(),
    quantity: z.enum(['temperature', 'humidity', 'air-speed', 'pressure', 'current']).default('temperature'),
    from: z.number().optional(),
    to: z.number().optional(),
    ...calm,
  })
  .refine((limit) => limit.from !== undefined || limit.to !== undefined, { message: 'needs `from`, `to` or both' })
  .refine((limit) => limit.from === undefined || limit.to === undefined || limit.from < limit.to, {
    message: 'needs `from` below `to`',
  })

/** Never rising faster, judged by the slope through the last `overS` seconds. */
export const RiseLimit = z.strictObject({
  kind: z.literal('rise'),
  instrument: Name.optional(),
  cPerMinuteMax: z.number().positive().max(500),
  overS: z.number().min(10).max(7_200).default(120),
  ...calm,
})

export const StandingLimit = z.discriminatedUnion('kind', [CeilingLimit, WindowLimit, RiseLimit])
export type StandingLimit = z.infer<typeof StandingLimit>

export const Station = z.strictObject({
  id: Name,
  name: Label,
  kind: StationKind,
  /** The instrument whose temperature stands for the station; the first claimed one where none is named. */
  leading: Name.optional(),
  limits: z.array(StandingLimit).max(32).default([]),
  /** For pots and bench cups. */
  pot: PotSetting.optional(),
  /** Of a dry room: the surroundings that its door opens to; the first that has a climate probe where none is named. */
  opensTo: Name.optional(),
  /** A line for people: where it stands, what it holds. */
  note: z.string().max(500).optional(),
})
export type Station = z.infer<typeof Station>
