/** One record of a SenML pack as it is written: its labels, what each may hold, and why a record cannot be taken. */
import { shown } from '../format.ts'
import { fromBase64url } from './base64url.ts'

/** Fields of a record as they are written; `vd` is base64url in both forms. */
export interface SenmlRecord {
  bver?: number
  bn?: string
  bt?: number
  bu?: string
  bv?: number
  bs?: number
  n?: string
  u?: string
  v?: number
  vs?: string
  vb?: boolean
  vd?: string
  s?: number
  t?: number
  ut?: number
}
export type Label = keyof SenmlRecord

type Kind = 'number' | 'version' | 'text' | 'bytes' | 'truth'

/** RFC 8428, tables 1 to 4: labels, their numbers in CBOR, and their types. */
export const labels: Record<Label, { cbor: number; kind: Kind }> = {
  bver: { cbor: -1, kind: 'version' },
  bn: { cbor: -2, kind: 'text' },
  bt: { cbor: -3, kind: 'number' },
  bu: { cbor: -4, kind: 'text' },
  bv: { cbor: -5, kind: 'number' },
  bs: { cbor: -6, kind: 'number' },
  n: { cbor: 0, kind: 'text' },
  u: { cbor: 1, kind: 'text' },
  v: { cbor: 2, kind: 'number' },
  vs: { cbor: 3, kind: 'text' },
  vb: { cbor: 4, kind: 'truth' },
  s: { cbor: 5, kind: 'number' },
  t: { cbor: 6, kind: 'number' },
  ut: { cbor: 7, kind: 'number' },
  vd: { cbor: 8, kind: 'bytes' },
}

const wanted: Record<Kind, string> = {
  number: 'a finite number',
  version: 'a whole number of at least 1',
  text: 'text in Unicode',
  bytes: 'bytes as base64url without padding',
  truth: 'true or false',
}

function fits(kind: Kind, value: unknown): boolean {
  switch (kind) {
    case 'number':
      return typeof value === 'number' && Number.isFinite(value)
    case 'version':
      return Number.isSafeInteger(value) && (value as number) > 0
    case 'text':
      return typeof value === 'string' && !/\p{Cs}/u.test(value)
    case 'bytes':
      return typeof value === 'string' && fromBase64url(value) !== null
    case 'truth':
      return typeof value === 'boolean'
  }
}

/** A record from its labels and values, in their order; or one sentence why not. `place` names the record. */
export function recordOf(entries: Iterable<readonly [string, unknown]>, place: string): SenmlRecord | string {
  const record: Record<string, unknown> = {}
  for (const [label, value] of entries) {
    if (!Object.hasOwn(labels, label)) {
      // RFC 8428, 4.4: what ends in "_" must be understood, everything else that is unknown is passed over.
      if (label.endsWith('_'))
        return `${place} has the label ${shown(label)}, which must be understood and is not known.`
      continue
    }
    if (Object.hasOwn(record, label)) return `${place} has the label "${label}" twice.`
    const { kind } = labels[label as Label]
    if (!fits(kind, value))
      return `${place} has in "${label}" no ${wanted[kind].replace(/^an? /, '')}: ${shown(value)}.`
    // A minus before nothing is lost in JSON, and means nothing.
    record[label] = value === 0 ? 0 : value
  }
  return record as SenmlRecord
}
