/** SenML packs in CBOR (RFC 8428, section 6): the same records, with numbers for labels. */
import { decode, encode } from 'cborg'
import { shown } from '../format.ts'
import { fromBase64url, toBase64url } from './base64url.ts'
import { cborTrouble } from './guard.ts'
import { packTrouble, placeOf } from './json.ts'
import { type Label, labels, recordOf, type SenmlRecord } from './record.ts'

const labelOf: ReadonlyMap<number, string> = new Map(Object.entries(labels).map(([label, { cbor }]) => [cbor, label]))

type Inner = () => unknown

/** Tag 4: mantissa times ten to the exponent, read as the decimal that was meant, not multiplied out. */
function decimalFraction(inner: Inner): number {
  const parts = inner()
  const [exponent, mantissa] = Array.isArray(parts) && parts.length === 2 ? (parts as unknown[]) : []
  const whole = typeof mantissa === 'bigint' || Number.isSafeInteger(mantissa)
  return Number.isSafeInteger(exponent) && whole ? Number(`${String(mantissa)}e${String(exponent)}`) : Number.NaN
}

const reading = {
  useMaps: true,
  rejectDuplicateMapKeys: true,
  allowUndefined: false,
  allowNaN: false,
  allowInfinity: false,
  tags: { 4: decimalFraction },
}

function parsed(payload: Uint8Array): { value: unknown } | string {
  try {
    return { value: decode(payload, reading) as unknown }
  } catch (error) {
    const why = error instanceof Error ? error.message.replace(/^CBOR decode error: /, '') : 'it is no CBOR'
    return `The pack is not CBOR that SenML allows: ${shown(why).slice(1, -1)}.`
  }
}

/** Labels and values as JSON would give them. */
function* entriesOf(map: ReadonlyMap<unknown, unknown>): Iterable<readonly [string, unknown]> {
  for (const [key, value] of map) {
    const label = typeof key === 'number' ? (labelOf.get(key) ?? `#${key}`) : String(key)
    if (typeof value === 'bigint') yield [label, Number(value)]
    else yield [label, label === 'vd' && value instanceof Uint8Array ? toBase64url(value) : value]
  }
}

export function fromCbor(payload: Uint8Array): SenmlRecord[] | string {
  const guarded = cborTrouble(payload)
  if (guarded !== null) return guarded
  const whole = parsed(payload)
  if (typeof whole === 'string') return whole
  const trouble = packTrouble(whole.value)
  if (trouble !== null) return trouble
  const pack: SenmlRecord[] = []
  for (const [i, map] of (whole.value as unknown[]).entries()) {
    if (!(map instanceof Map)) return `${placeOf(i)} must be a map of labels.`
    const record = recordOf(entriesOf(map), placeOf(i))
    if (typeof record === 'string') return record
    pack.push(record)
  }
  return pack
}

/** Labels keep their order: two bytes strings of one pack are then the same. */
const asTheyStand = { mapSorter: () => 0 }

export function toCbor(pack: readonly SenmlRecord[]): Uint8Array {
  const maps = pack.map(
    (record) =>
      new Map(
        Object.entries(record).map(([label, value]) => [
          labels[label as Label].cbor,
          label === 'vd' ? fromBase64url(String(value)) : (value as unknown),
        ]),
      ),
  )
  return encode(maps, asTheyStand)
}
