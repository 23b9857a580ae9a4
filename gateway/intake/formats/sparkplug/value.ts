/** What a carried value means by its datatype: a number, a truth, or nothing that is measured. */
import type { Carried, Metric, Property } from './payload.ts'

/** Datatypes of the specification 3.0.0, chapter 6, that carry a number or a truth. */
const int8 = 1
const int16 = 2
const int32 = 3
const int64 = 4
const uint8 = 5
const uint64 = 8
const float = 9
const double = 10
export const booleanType = 11
const numeric = [int8, int16, int32, int64, uint8, 6, 7, uint64, float, double] as const

export function isMeasured(datatype: number): boolean {
  return datatype === booleanType || (numeric as readonly number[]).includes(datatype)
}

/** Negative numbers travel as two's complement in an unsigned field, by some encoders in 32 bits, by others in their own. */
function signed(value: number, bits: number): number {
  return (value << (32 - bits)) >> (32 - bits)
}

/** Null where the field is not one in which this datatype travels. */
export function numberOf(datatype: number, { as, value }: Carried): number | null {
  switch (as) {
    case 'int':
      if (datatype === int8) return signed(value, 8)
      if (datatype === int16) return signed(value, 16)
      if (datatype === int32) return value | 0
      return datatype > int32 && datatype <= uint64 ? value : null
    case 'long':
      // Small ones of any width are sent so by some; a number that a double cannot hold is rounded here and only here.
      if (datatype === int64) return Number(BigInt.asIntN(64, value))
      return datatype <= uint64 ? Number(value) : null
    case 'float':
    case 'double':
      return (datatype === float || datatype === double) && Number.isFinite(value) ? value : null
    case 'boolean':
      return datatype === booleanType ? Number(value) : null
    case 'string':
      return null
  }
}

/** The datatype where a birth did not name it: what its field says, else 0, which is none. */
export function datatypeOf({ datatype, carried }: Metric): number {
  if (datatype !== undefined) return datatype
  switch (carried?.as) {
    case 'float':
      return float
    case 'double':
      return double
    case 'boolean':
      return booleanType
    default:
      return 0
  }
}

/** Specification 3.0.0, 6.4.8: 192 is good, 0 bad, 500 stale; without it a value is good. */
const stale = 500

export function qualityTrouble(properties: ReadonlyMap<string, Property> | undefined): 'bad' | 'stale' | null {
  const quality = properties?.get('Quality')?.carried
  if (quality?.as !== 'int' && quality?.as !== 'long') return null
  const code = Number(quality.value)
  return code === 0 ? 'bad' : code === stale ? 'stale' : null
}
