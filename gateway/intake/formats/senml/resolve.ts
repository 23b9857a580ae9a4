/** Resolving a SenML pack (RFC 8428, 4.1 to 4.6): every record made whole by itself, with its full name and its own time. */
import type { EpochMs } from '../../../../shared/time.ts'
import { shown } from '../format.ts'
import { placeOf } from './json.ts'
import type { SenmlRecord } from './record.ts'

/** A record that needs none of the others. Exactly one of v, vs, vb, vd; none only where there is a sum. */
export interface Resolved {
  n: string
  u?: string
  /** Seconds since 1970. */
  t: number
  v?: number
  vs?: string
  vb?: boolean
  vd?: string
  /** Integral of the value over time, in the unit times seconds. */
  s?: number
  /** Another is promised within so many seconds. */
  ut?: number
  /** Only where it is not the usual one. */
  bver?: number
}

/** RFC 8428, 4.5.3: seconds below this, 2^28, count from now; at or above, from 1970. */
export const relativeBelowS = 268_435_456

/** RFC 8428, 4.1. */
const usualVersion = 10
/** RFC 9100: a version above the usual is a sum of features; known is 16, secondary units. */
const knownVersions: ReadonlySet<number> = new Set([usualVersion, usualVersion + 16])

/** RFC 8428, 4.5.1. */
const name = /^[A-Za-z0-9][A-Za-z0-9\-:./_]*$/

const values = ['v', 'vs', 'vb', 'vd'] as const

interface Base {
  bn: string
  bt: number
  bu?: string
  bv?: number
  bs?: number
  bver?: number
}

function nameTrouble(full: string): string | null {
  if (full === '') return 'has no name, neither its own nor a base name'
  return name.test(full)
    ? null
    : `has the name ${shown(full)}; letters, digits and - : . / _ may stand in it, a letter or digit first`
}

/** The bases that hold from this record on. */
function baseOf(before: Base, record: SenmlRecord): Base {
  const { bn, bt, bu, bv, bs, bver } = record
  return {
    ...before,
    ...(bn !== undefined && { bn }),
    ...(bt !== undefined && { bt }),
    ...(bu !== undefined && { bu }),
    ...(bv !== undefined && { bv }),
    ...(bs !== undefined && { bs }),
    ...(bver !== undefined && { bver }),
  }
}

/** As the first record of the example in 5.1.7. Were a base value alone taken for a measurement, one would appear that nobody made. */
function onlySetsBases(record: SenmlRecord): boolean {
  const own = Object.keys(record)
  return own.length > 0 && own.every((label) => label.startsWith('b'))
}

/** One record with its bases added, its time still as it was given; or what is wrong with it. */
function whole(record: SenmlRecord, base: Base): Resolved | string {
  const n = base.bn + (record.n ?? '')
  const trouble = nameTrouble(n)
  if (trouble !== null) return trouble
  const own = values.filter((label) => record[label] !== undefined)
  if (own.length > 1) return `has ${own.length} values (${own.join(', ')}); exactly one may stand there`
  const made: Resolved = { n, t: base.bt + (record.t ?? 0) }
  const unit = record.u ?? base.bu
  if (unit !== undefined) made.u = unit
  // 4.5.4: a missing value counts as zero where there is a base value.
  if (record.v !== undefined || (own.length === 0 && base.bv !== undefined)) made.v = (base.bv ?? 0) + (record.v ?? 0)
  if (record.vs !== undefined) made.vs = record.vs
  if (record.vb !== undefined) made.vb = record.vb
  if (record.vd !== undefined) made.vd = record.vd
  if (record.s !== undefined || base.bs !== undefined) made.s = (base.bs ?? 0) + (record.s ?? 0)
  if (record.ut !== undefined) made.ut = record.ut
  if (base.bver !== undefined && base.bver !== usualVersion) made.bver = base.bver
  if (own.length === 0 && made.v === undefined && made.s === undefined) return 'has no value and no sum'
  return Number.isFinite(made.t) && Number.isFinite(made.v ?? 0) && Number.isFinite(made.s ?? 0)
    ? made
    : 'has a number that grows beyond all bounds when its base is added'
}

function versionTrouble(pack: readonly SenmlRecord[]): string | null {
  const [first] = pack
  const version = first?.bver ?? usualVersion
  if (version > usualVersion && !knownVersions.has(version))
    return `The pack is of SenML version ${version}; up to ${Math.max(...knownVersions)} are known.`
  const other = pack.findIndex(({ bver }) => bver !== undefined && bver !== version)
  return other < 0
    ? null
    : `${placeOf(other)} is of SenML version ${pack[other]?.bver}, the pack of ${version}; they must not be mixed.`
}

/** The pack with its bases added and its times as they were given, in its own order; or one sentence why not. */
export function folded(pack: readonly SenmlRecord[]): Resolved[] | string {
  const trouble = versionTrouble(pack)
  if (trouble !== null) return trouble
  const records: Resolved[] = []
  let base: Base = { bn: '', bt: 0 }
  for (const [i, record] of pack.entries()) {
    base = baseOf(base, record)
    if (onlySetsBases(record)) continue
    const made = whole(record, base)
    if (typeof made === 'string') return `${placeOf(i)} ${made}.`
    records.push(made)
  }
  return records
}

export function isRelative(t: number): boolean {
  return t < relativeBelowS
}

/** In order of time; what is of one time stays in the order it was given. */
export function placed(records: readonly Resolved[], nowMs: EpochMs): Resolved[] {
  return records
    .map((record) => (isRelative(record.t) ? { ...record, t: nowMs / 1_000 + record.t } : record))
    .sort((a, b) => a.t - b.t)
}

/** A pack in resolved form, or one sentence why it cannot be. */
export function resolve(pack: readonly SenmlRecord[], nowMs: EpochMs): Resolved[] | string {
  const records = folded(pack)
  return typeof records === 'string' ? records : placed(records, nowMs)
}
