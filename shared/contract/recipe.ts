/** A recipe: what should happen to wax, shell or load. Revisioned; a revision that a run has used never changes. */
import { z } from 'zod'
import { Label, Name } from './name.ts'

const celsius = z.number().min(-50).max(1_800)

/** A window of temperature in which an action is allowed. */
export const TemperatureWindow = z
  .strictObject({ fromC: celsius, toC: celsius })
  .refine((w) => w.fromC < w.toC, 'needs `fromC` below `toC`')
export type TemperatureWindow = z.infer<typeof TemperatureWindow>

/** How long after the coat before it this one goes on: leathery, but still warm. Too soon drags it off, too late no longer fuses. */
export const CoatWait = z
  .strictObject({
    earliestMinutes: z.number().min(0).max(1_440).optional(),
    latestMinutes: z.number().positive().max(1_440).optional(),
  })
  .refine(
    (w) => w.earliestMinutes === undefined || w.latestMinutes === undefined || w.earliestMinutes < w.latestMinutes,
    {
      path: ['latestMinutes'],
      message: 'must be later than `earliestMinutes`',
    },
  )
export type CoatWait = z.infer<typeof CoatWait>

export const Coat = z.strictObject({
  id: Name,
  name: Label,
  window: TemperatureWindow,
  /** Left out on a smooth mould, which needs one coat fewer. */
  texturedOnly: z.boolean().optional(),
  /** The slush pour, at the bottom of the range; the last one. */
  slush: z.boolean().optional(),
  wait: CoatWait.optional(),
})
export type Coat = z.infer<typeof Coat>

const head = { id: Name, name: Label, revision: z.int().min(1).default(1), note: z.string().max(1_000).optional() }

export const WaxRecipe = z
  .strictObject({
    kind: z.literal('wax'),
    ...head,
    conditioning: z
      .strictObject({
        window: TemperatureWindow,
        holdMinutes: z.number().min(0).max(1_440),
        /** Somebody must have stirred it. */
        stirred: z.boolean().optional(),
      })
      .optional(),
    /** In the order in which they go on: each cooler than the one before. */
    coats: z.array(Coat).min(1).max(12),
    /** Where it congeals, by its data sheet. */
    congealing: TemperatureWindow.optional(),
    /** Of the mould when a coat goes on, and of the workshop it suits. */
    mould: TemperatureWindow.optional(),
    ambient: TemperatureWindow.optional(),
    /** Below this the wax sets up: do not pour. */
    floorC: celsius.optional(),
    /** From the wax's safety data sheet, set by the house. */
    ceilingC: celsius.optional(),
  })
  .superRefine((recipe, context) => {
    recipe.coats.forEach((coat, i) => {
      const before = recipe.coats[i - 1]
      if (before && coat.window.toC > before.window.toC)
        context.addIssue({
          code: 'custom',
          path: ['coats', i, 'window', 'toC'],
          message: `is hotter than the coat before it (${before.window.toC} °C): a hotter coat melts the one beneath`,
        })
      if (coat.slush && i < recipe.coats.length - 1)
        context.addIssue({
          code: 'custom',
          path: ['coats', i, 'slush'],
          message: 'is for the last one: the slush pour ends the coating',
        })
      if (recipe.floorC !== undefined && coat.window.fromC < recipe.floorC)
        context.addIssue({
          code: 'custom',
          path: ['coats', i, 'window', 'fromC'],
          message: `lies below the floor (${recipe.floorC} °C), where this wax sets up`,
        })
      if (recipe.ceilingC !== undefined && coat.window.toC >= recipe.ceilingC)
        context.addIssue({
          code: 'custom',
          path: ['coats', i, 'window', 'toC'],
          message: `must stay below the ceiling (${recipe.ceilingC} °C)`,
        })
    })
    if (recipe.coats.length > 0 && recipe.coats.every((coat) => coat.texturedOnly))
      context.addIssue({ code: 'custom', path: ['coats'], message: 'must leave a smooth mould at least one coat' })
  })
export type WaxRecipe = z.infer<typeof WaxRecipe>

export const DryingRecipe = z
  .strictObject({
    kind: z.literal('drying'),
    ...head,
    temperature: TemperatureWindow,
    /** Relative humidity, %. */
    humidity: z.strictObject({ from: z.number().min(0).max(100), to: z.number().min(0).max(100) }).optional(),
    /** Shortest and longest drying, h. The longest matters for prime coats. */
    hoursMin: z.number().min(0).max(720).optional(),
    hoursMax: z.number().min(0).max(720).optional(),
    /** How far the wax may warm above what it was at the dip: it expands inside a shell that has stiffened. */
    waxRiseC: z.number().positive().max(20).optional(),
    /** What the house calls dry, told from a weighed test piece. */
    dryness: z
      .strictObject({
        /** Of the dip's water, what may be left, %. */
        leftPercent: z.number().positive().max(50).default(5),
        /** Below this difference of air and wet bulb, °C, nobody can tell. */
        depressionMinC: z.number().min(0.5).max(20).default(2.5),
        /** How long it must hold, minutes. */
        holdMinutes: z.number().int().min(1).max(240).default(10),
      })
      .optional(),
  })
  .refine((r) => r.humidity === undefined || r.humidity.from < r.humidity.to, {
    path: ['humidity'],
    message: 'needs `from` below `to`',
  })
  .refine((r) => r.hoursMin === undefined || r.hoursMax === undefined || r.hoursMin <= r.hoursMax, {
    path: ['hoursMax'],
    message: 'must not be shorter than `hoursMin`',
  })
export type DryingRecipe = z.infer<typeof DryingRecipe>

/** Which probes must agree: those in the air, those in the load, or all of both. The slowest of them counts; air never stands in for load. */
export const Governs = z.enum(['air', 'load', 'all'])
export type Governs = z.infer<typeof Governs>

export const RampSegment = z.strictObject({
  kind: z.literal('ramp'),
  toC: celsius,
  /** Rise or fall, always positive; the direction follows from where it starts. */
  cPerHour: z.number().positive().max(5_000),
  toleranceC: z.number().positive().max(200).default(15),
  /** For this segment alone; what the recipe says where absent. */
  governs: Governs.optional(),
})
export const HoldSegment = z.strictObject({
  kind: z.literal('hold'),
  minutes: z.number().positive().max(14_400),
  toleranceC: z.number().positive().max(200).default(15),
  governs: Governs.optional(),
  /** False: it is over when its minutes are, counted from when it was reached. Else only credited time counts. */
  credited: z.boolean().optional(),
  /** How long the kiln's own programme holds from when its air is there; where absent, it waits for the credit. */
  controllerMinutes: z.number().positive().max(14_400).optional(),
})
export const Segment = z.discriminatedUnion('kind', [RampSegment, HoldSegment])
export type Segment = z.infer<typeof Segment>

/** A range of temperature through which load or air must not move faster: an inversion of the refractory. */
export const RateBand = z
  .strictObject({
    name: Label,
    fromC: celsius,
    toC: celsius,
    riseCPerHourMax: z.number().positive().max(5_000).optional(),
    fallCPerHourMax: z.number().positive().max(5_000).optional(),
  })
  .refine((b) => b.fromC < b.toC, 'needs `fromC` below `toC`')
  .refine((b) => b.riseCPerHourMax !== undefined || b.fallCPerHourMax !== undefined, 'needs a limit up, down or both')
export type RateBand = z.infer<typeof RateBand>

/** What a person does at a point of the recipe. */
export const HandStep = z.strictObject({
  id: Name,
  name: Label,
  what: z.enum(['vent', 'tray', 'patch', 'preheat', 'pour', 'look', 'other']),
  /** The segment at which it is due, counted from 0, and where in it; at its end where no temperature is named. */
  segment: z.int().min(0).max(39),
  atC: celsius.optional(),
})
export type HandStep = z.infer<typeof HandStep>

/** When the load may be poured, by the house. It authorises no pour. */
export const ReadyCriterion = z
  .strictObject({
    governs: Governs.default('load'),
    atLeastC: celsius.optional(),
    atMostC: celsius.optional(),
    /** Sustained so long. */
    minutes: z.number().min(0).max(1_440).default(10),
  })
  .refine((r) => r.atLeastC !== undefined || r.atMostC !== undefined, 'needs `atLeastC`, `atMostC` or both')
  .refine((r) => r.atLeastC === undefined || r.atMostC === undefined || r.atLeastC < r.atMostC, {
    message: 'needs `atLeastC` below `atMostC`',
  })
export type ReadyCriterion = z.infer<typeof ReadyCriterion>

/** What is burnt out: loads of one class lag alike. */
export const LoadClass = z.strictObject({
  kind: z.enum(['shell', 'solid']),
  /** The class by which earlier burnouts are compared. */
  name: Label,
  thicknessMm: z.number().positive().max(2_000).optional(),
  /** Free water is still in it: then it stands at 100 °C until it is gone. */
  wet: z.boolean().optional(),
})
export type LoadClass = z.infer<typeof LoadClass>

export const BurnoutRecipe = z
  .strictObject({
    kind: z.literal('burnout'),
    ...head,
    startC: celsius.default(20),
    segments: z.array(Segment).min(1).max(40),
    /** The instruments that must all agree before time counts; the leading one where none is named. */
    governing: z.array(Name).max(12).default([]),
    /** By place instead of by name: every probe of the kiln that is in the air, in the load, or both. */
    governs: Governs.optional(),
    /** Never above this in a hold: then nothing is credited. */
    maximumC: celsius.optional(),
    bands: z.array(RateBand).max(12).optional(),
    hands: z.array(HandStep).max(24).optional(),
    ready: ReadyCriterion.optional(),
    /** From the kiln to the mould's mouth, s. */
    pullToPourS: z.number().positive().max(3_600).optional(),
    load: LoadClass.optional(),
  })
  .superRefine((recipe, context) => {
    let at = recipe.startC
    recipe.segments.forEach((segment, i) => {
      if (segment.kind !== 'ramp') return
      if (segment.toC === at)
        context.addIssue({
          code: 'custom',
          path: ['segments', i, 'toC'],
          message: `is where the segment before already ends (${at} °C): write a hold`,
        })
      at = segment.toC
    })
    recipe.hands?.forEach((step, i) => {
      if (step.segment >= recipe.segments.length)
        context.addIssue({
          code: 'custom',
          path: ['hands', i, 'segment'],
          message: `names segment ${step.segment}; the recipe has ${recipe.segments.length}, counted from 0`,
        })
    })
  })
export type BurnoutRecipe = z.infer<typeof BurnoutRecipe>

export const Recipe = z.discriminatedUnion('kind', [WaxRecipe, DryingRecipe, BurnoutRecipe])
export type Recipe = z.infer<typeof Recipe>
