/** An instrument: a device that measures, the station it watches, and how often it is expected to speak. */
import { z } from 'zod'
import { Label, Name } from './name.ts'

export const instrumentKinds = ['thermocouple', 'infrared', 'climate', 'air-speed', 'contact', 'current'] as const
export const InstrumentKind = z.enum(instrumentKinds)
export type InstrumentKind = z.infer<typeof InstrumentKind>

export const ThermocoupleType = z.enum(['K', 'J', 'N', 'T', 'E', 'R', 'S', 'B'])
export type ThermocoupleType = z.infer<typeof ThermocoupleType>

/** Units that a bare number can be claimed as. */
export const numberUnits = [
  'celsius',
  'fahrenheit',
  'kelvin',
  'percent',
  'metresPerSecond',
  'pascals',
  'amperes',
] as const
export const NumberUnit = z.enum(numberUnits)
export type NumberUnit = z.infer<typeof NumberUnit>

/** What a check against a reference found: where the instrument reads `readsC`, it is `isC`. */
export const CorrectionPoint = z.strictObject({ readsC: z.number(), isC: z.number() })
export type CorrectionPoint = z.infer<typeof CorrectionPoint>

function rises(points: CorrectionPoint[]): boolean {
  return points.every((point, i) => {
    const before = points[i - 1]
    return before === undefined || (point.readsC > before.readsC && point.isC > before.isC)
  })
}

/** The same with how sure the comparison was (one standard uncertainty, °C). */
const CalibrationPoint = CorrectionPoint.extend({ uC: z.number().min(0).max(100).default(0) })
const calibrationPoints = z
  .array(CalibrationPoint)
  .min(1)
  .max(32)
  .refine(rises, 'needs points that rise in both columns')

/** One calibration: how the instrument reads from `at` on, until the next one. Stored values are never rewritten. */
export const Calibration = z.strictObject({
  /** Epoch ms. */
  at: z.int().min(0),
  /** As left. */
  points: calibrationPoints,
  /** As found, before anybody touched it. */
  found: calibrationPoints.optional(),
  by: Label.optional(),
  note: Label.optional(),
})
export type Calibration = z.infer<typeof Calibration>

/** Tolerance classes a thermocouple may be bought by; new, unused wire only. */
export const toleranceClasses = ['iec-1', 'iec-2', 'iec-3', 'astm-standard', 'astm-special'] as const
export const ToleranceClass = z.enum(toleranceClasses)
export type ToleranceClass = z.infer<typeof ToleranceClass>

/** Where in its station it sits: what it may be held against, and how it can lie. */
export const places = [
  'wax-middle',
  'wax-bottom',
  'wax-top',
  'wax-surface',
  'kiln-air',
  'kiln-load',
  'room-air',
  'test-piece',
  'mould',
  /** A current meter in the supply of a pot's heater. */
  'heater',
  /** A contact that people close to say that a coat is on. */
  'button',
] as const
export const Place = z.enum(places)
export type Place = z.infer<typeof Place>

/** How an infrared instrument is set, and what it truly looks at. */
export const InfraredSetting = z.strictObject({
  /** The emissivity that is set on the instrument. */
  setEmissivity: z.number().gt(0).max(1).default(0.95),
  /** The background that it takes off by itself, °C; absent where it takes none off. */
  compensatedC: z.number().min(-50).max(1_000).optional(),
  /** The true emissivity of what it looks at, found by comparison; absent where nobody knows it: then nothing is corrected. */
  emissivity: z.number().gt(0).max(1).optional(),
  /** Of that: its uncertainty (one standard deviation). */
  emissivityU: z.number().min(0).max(0.5).optional(),
  /** What is mirrored in it: surroundings, °C. Absent: the surroundings' own reading, or 23 °C. */
  reflectedC: z.number().min(-50).max(1_000).optional(),
  /** The diameter of what it sees, and of what it should see, mm. */
  spotMm: z.number().positive().max(10_000).optional(),
  targetMm: z.number().positive().max(10_000).optional(),
})
export type InfraredSetting = z.infer<typeof InfraredSetting>

export const Instrument = z.strictObject({
  /** The name it publishes under: `cirewatch/<id>/reading`. */
  id: Name,
  name: Label,
  kind: InstrumentKind,
  station: Name,
  /** Where in the station: `air`, `load`, `wax middle` … */
  position: Label.optional(),
  /** The same for the tool: what it may be held against. */
  place: Place.optional(),
  /** How often a reading is expected, s. */
  intervalS: z.number().min(0.05).max(3_600).default(10),
  /** Silent this long is a hole and a finding, s. Default: three intervals, at least 30 s. */
  silenceS: z.number().min(1).max(86_400).optional(),
  /** What its plain numbers count, where it sends numbers without a unit. */
  numberUnit: NumberUnit.optional(),
  /** For a bare thermocouple that publishes microvolts. */
  thermocouple: ThermocoupleType.optional(),
  infrared: InfraredSetting.optional(),
  toleranceClass: ToleranceClass.optional(),
  /** Dated, the newest last; each holds from its day on. Before the first the undated `correction` holds. */
  calibrations: z
    .array(Calibration)
    .max(64)
    .refine((all) => all.every((one, i) => one.at > (all[i - 1]?.at ?? -1)), 'needs days that rise')
    .optional(),
  /** A check against a reference is due this long after the last one, days. */
  checkEveryDays: z.int().min(1).max(3_650).optional(),
  /** Rising points of a check without a date; the stored raw value is never rewritten. */
  correction: z.array(CorrectionPoint).max(32).refine(rises, 'needs points that rise in both columns').optional(),
})
export type Instrument = z.infer<typeof Instrument>
