/** A mapping: how to read an instrument that speaks its own JSON on its own topic. */
import { z } from 'zod'
import { Label } from './name.ts'
import type { Quantity } from './quantity.ts'

/** Units a mapped value may be given in, by the words of our own JSON where it has them, and what is measured in each. */
export const mappingUnits = {
  celsius: 'temperature',
  fahrenheit: 'temperature',
  kelvin: 'temperature',
  relativeHumidity: 'humidity',
  metresPerSecond: 'air-speed',
  kilometresPerHour: 'air-speed',
  pascals: 'pressure',
  hectopascals: 'pressure',
  kilopascals: 'pressure',
  bar: 'pressure',
  /** True is closed. */
  closed: 'contact',
  /** True is open. */
  open: 'contact',
  amperes: 'current',
  milliamperes: 'current',
  microvolts: 'emf',
  millivolts: 'emf',
  volts: 'emf',
  junctionCelsius: 'junction',
  number: 'number',
} as const satisfies Record<string, Quantity>
export type MappingUnit = keyof typeof mappingUnits
export const MappingUnit = z.enum(Object.keys(mappingUnits) as [MappingUnit, ...MappingUnit[]])

/** Letters in a topic filter or a pointer. Reason: the longest topics of real devices are some 200. */
const lettersMax = 512

/** RFC 6901: empty for the whole, else parts that begin with a slash; `~` only as `~0` or `~1`. */
export const Pointer = z
  .string()
  .max(lettersMax)
  .regex(/^(\/([^~/]|~[01])*)*$/u, 'must be a JSON pointer: empty, or parts that each begin with "/"')

/** MQTT 3.1.1, 4.7.1: `+` and `#` fill a whole level, `#` only the last. */
function isFilter(filter: string): boolean {
  const levels = filter.split('/')
  return levels.every((level, i) =>
    level.includes('#') ? level === '#' && i === levels.length - 1 : !level.includes('+') || level === '+',
  )
}

export const TopicFilter = z
  .string()
  .min(1)
  .max(lettersMax)
  .refine(
    (filter) => !filter.includes('\0') && isFilter(filter),
    'may have + and # only as whole levels, # as the last',
  )
  .refine(
    (filter) => !/^(cirewatch|spBv1\.0)(\/|$)/.test(filter),
    'must not be below cirewatch/ or spBv1.0/: what comes there is read without a mapping',
  )

/** A name, in which `{1}` stands for the level that the first `+` matched. */
const Template = z
  .string()
  .max(128)
  .regex(
    /^([A-Za-z0-9]|\{[1-9]\})([A-Za-z0-9_:.-]|\{[1-9]\})*$/,
    'may hold letters, digits, _ : . - and {1} to {9} for what the + of the topic matched',
  )

export const MappedValue = z.strictObject({
  pointer: Pointer,
  unit: MappingUnit,
  /** A message may do without it. */
  optional: z.boolean().optional(),
})
export type MappedValue = z.infer<typeof MappedValue>

export const timeForms = ['iso', 'seconds', 'milliseconds'] as const

export const Mapping = z
  .strictObject({
    topic: TopicFilter,
    instrument: Template,
    /** What a person calls it. */
    name: Label.optional(),
    /** At most one for each quantity: what else a message holds is another instrument, with a mapping of its own. */
    values: z.array(MappedValue).min(1).max(8),
    /** Where a message carries several readings: the list of them. All other pointers then begin at its elements. */
    list: Pointer.optional(),
    /** ISO 8601 with zone, or seconds or milliseconds since 1970. Absent: the time of arrival. */
    time: z.strictObject({ pointer: Pointer, as: z.enum(timeForms) }).optional(),
    /** What else than these stands there is bad. */
    quality: z
      .strictObject({
        pointer: Pointer,
        good: z
          .array(z.union([z.string(), z.number(), z.boolean()]))
          .min(1)
          .max(16),
      })
      .optional(),
    /** Numbers are written as text, "21.5" or "21,5". */
    numbersAsText: z.enum(['point', 'comma']).optional(),
  })
  .superRefine(({ topic, instrument, values }, context) => {
    const plus = topic.split('/').filter((level) => level === '+').length
    for (const [whole, n] of instrument.matchAll(/\{(\d)\}/g))
      if (Number(n) > plus)
        context.addIssue({ code: 'custom', path: ['instrument'], message: `${whole} has no + in the topic` })
    const quantities = values.map(({ unit }) => mappingUnits[unit])
    const twice = quantities.find((quantity, i) => quantities.indexOf(quantity) !== i)
    if (twice)
      context.addIssue({
        code: 'custom',
        path: ['values'],
        message: `give ${twice} twice; one instrument has one, make a second mapping for the other`,
      })
  })
export type Mapping = z.infer<typeof Mapping>
