/** An instrument: a device that measures, the station it watches, and how often it is expected to speak. */
import { z } from 'zod'
import { Label, Name } from './name.ts'

export const instrumentKinds = ['thermocouple', 'infrared', 'climate', 'air-speed', 'contact', 'current'] as const
export const InstrumentKind = z.enum(instrumentKinds)
export type InstrumentKind = z.infer<typeof InstrumentKind>

export const ThermocoupleType = z.enum(['K', 'J', 'N', 'T', 'E', 'R', 'S', 'B'])
export type ThermocoupleType = z.infer<typeof ThermocoupleType>

/** What a check against a reference found: where the instrument reads `readsC`, it is `isC`. */
export const CorrectionPoint = z.strictObject({ readsC: z.number(), isC: z.number() })
export type CorrectionPoint = z.infer<typeof CorrectionPoint>

function rises(points: CorrectionPoint[]): boolean {
  return points.every((point, i) => {
    const before = points[i - 1]
    return before === undefined || (point.readsC > before.readsC && point.isC > before.isC)
  })
}

export const Instrument = z.strictObject({
  /** The name it publishes under: `cirewatch/<id>/reading`. */
  id: Name,
  name: Label,
  kind: InstrumentKind,
  station: Name,
  /** Where in the station: `air`, `load`, `wax middle` … */
  position: Label.optional(),
  /** How often a reading is expected, s. */
  intervalS: z.number().min(0.05).max(3_600).default(10),
  /** Silent this long is a hole and a finding, s. Default: three intervals, at least 30 s. */
  silenceS: z.number().min(1).max(86_400).optional(),
  /** For a bare thermocouple that publishes microvolts. */
  thermocouple: ThermocoupleType.optional(),
  /** Rising points of the last check; the stored raw value is never rewritten. */
  correction: z.array(CorrectionPoint).max(32).refine(rises, 'needs points that rise in both columns').optional(),
})
export type Instrument = z.infer<typeof Instrument>
