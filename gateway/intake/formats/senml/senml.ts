/** A SenML pack as readings: which of its records are for us, which instrument each belongs to, and when it was measured. */
import { mappingUnits, type Quantity, type WireValue } from '../../../../shared/contract/index.ts'
import type { EpochMs } from '../../../../shared/time.ts'
import { cannotRead, shown, type Understood } from '../format.ts'
import { Gathered, isInstant } from '../gathered.ts'
import { cleaned, joined } from '../naming.ts'
import { measured } from '../units.ts'
import { fromCbor } from './cbor.ts'
import { fromJson } from './json.ts'
import type { SenmlRecord } from './record.ts'
import { folded, isRelative, type Resolved } from './resolve.ts'
import { senmlUnits } from './units.ts'

const bracket = 0x5b
const brace = 0x7b
const blanks: ReadonlySet<number> = new Set([0x20, 0x09, 0x0a, 0x0d])

/** JSON and CBOR are told apart by the first byte: no pack in CBOR begins with a bracket or a blank. */
export function packOf(payload: Uint8Array): SenmlRecord[] | string {
  const [first] = payload
  if (first === undefined) return 'The pack is empty.'
  if (first === bracket || first === brace || blanks.has(first)) return fromJson(payload)
  return first >> 5 === 4 ? fromCbor(payload) : 'The pack is neither a list in JSON nor one in CBOR.'
}

interface Ours {
  record: Resolved
  quantity: Quantity
  value: WireValue
}

/** A name that ends so is the voltage, or the cold end, of a bare thermocouple (our own words, told in the README). */
const bare = { emf: /[-:./_]?emf$/i, junction: /[-:./_]?junction$/i } as const

/** The record as a value of ours, or why it is left out. */
function oursOf(record: Resolved): Ours | string {
  const { n, u, v, vb } = record
  // What is called open is closed while it is not.
  if (vb !== undefined)
    return { record, quantity: 'contact', value: measured(vb ? 1 : 0, /(^|[-:./_])open$/i.test(n) ? 'open' : 'closed') }
  if (v === undefined) return `${shown(n)} holds no number that could be a reading.`
  const unit = u === undefined ? undefined : senmlUnits.get(u)
  if (unit === undefined)
    return `${shown(n)} is ${u === undefined ? 'without a unit' : `in ${shown(u)}`}, which is not watched here.`
  const kind = mappingUnits[unit]
  if (kind === 'emf' && !bare.emf.test(n))
    return `${shown(n)} is a voltage; only one whose name ends in emf is a thermocouple's.`
  const quantity = kind === 'temperature' && bare.junction.test(n) ? 'junction' : kind
  return { record, quantity, value: measured(v, unit, quantity) }
}

/** What a name is without the word for one half of a bare thermocouple: both halves belong to one instrument. */
function stemOf({ record, quantity }: Ours): string {
  return quantity === 'emf' || quantity === 'junction' ? record.n.replace(bare[quantity], '') : record.n
}

function lastPart(name: string): string {
  return name.split(/[:/]/).findLast((part) => part !== '') ?? name
}

/** The only one of its quantity in a pack is the topic's instrument; where there are several, the end of its name tells it apart. */
class Instruments {
  readonly #instrument: string
  readonly #stems = new Map<Quantity, Set<string>>()

  constructor(instrument: string, all: readonly Ours[]) {
    this.#instrument = instrument
    for (const ours of all) {
      const stems = this.#stems.get(ours.quantity) ?? new Set()
      this.#stems.set(ours.quantity, stems.add(stemOf(ours)))
    }
  }

  of(ours: Ours): string {
    const stems = this.#stems.get(ours.quantity) ?? new Set()
    if (stems.size < 2) return this.#instrument
    const stem = stemOf(ours)
    const end = lastPart(stem)
    const alone = [...stems].every((other) => other === stem || lastPart(other) !== end)
    return joined([this.#instrument, ...(alone ? [end] : stem.split(/[:/]/)).map(cleaned)])
  }
}

/** The instant of a record; null where it says no more than "about now" and nothing else has to be kept apart from it. */
function instantOf({ t }: Resolved, arrivedAt: EpochMs, alone: boolean): EpochMs | null {
  if (t === 0 && alone) return null
  return isRelative(t) ? arrivedAt + Math.round(t * 1_000) : Math.round(t * 1_000)
}

export function understandSenml(
  instrument: string,
  payload: Uint8Array,
  arrivedAt: EpochMs,
  retained: boolean,
): Understood {
  const pack = packOf(payload)
  const records = typeof pack === 'string' ? pack : folded(pack)
  if (typeof records === 'string') return cannotRead(records, instrument)
  const leftOut: string[] = []
  const ours: Ours[] = []
  for (const record of records) {
    // When "now" was, nobody can tell any more.
    const one =
      retained && isRelative(record.t)
        ? `${shown(record.n)} comes from a broker's memory and has no time.`
        : oursOf(record)
    if (typeof one === 'string') leftOut.push(one)
    else ours.push(one)
  }
  // Whoever misspells a unit should read so, and not wonder where the readings are.
  if (ours.length === 0 && leftOut.length > 0 && !retained)
    return cannotRead(`Nothing in the pack could be taken: ${leftOut.slice(0, 3).join(' ')}`, instrument)
  const alone = ours.every(({ record }) => record.t === 0)
  const instruments = new Instruments(instrument, ours)
  const gathered = new Gathered()
  const timed = ours.map((one) => ({ one, at: instantOf(one.record, arrivedAt, alone) }))
  for (const { one, at } of timed.sort((a, b) => (a.at ?? 0) - (b.at ?? 0))) {
    if (at !== null && !isInstant(at))
      return cannotRead(
        `The pack has with ${shown(one.record.n)} a time that no calendar knows: ${one.record.t}.`,
        instrument,
      )
    gathered.value(instruments.of(one), at, one.value)
  }
  return { decoded: gathered.decoded(), leftOut }
}
