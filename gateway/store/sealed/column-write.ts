/** Writes a column: looks which form it best takes, and packs it so. */
import type { ByteWriter } from './byte-writer.ts'
import { columnMax, flat, formShift, patchedBit, slopeMax, slopeShift, sloped, stepped, whole } from './column.ts'
import { type Plan, planOf } from './column-plan.ts'

/** Numbers further from their origin are written whole: sums and differences of nearer ones are exact. */
const spreadMax = 2 ** 45
/** And so is everything where the origin is further than this from 0: what lies on the way to a number must be exact too. */
const originMax = 2 ** 52

/** So many numbers, spread over a column, show which form leaves least of it; the outermost of them are not looked at. */
const samples = 16
const outliers = 2
/** A form is tried where it leaves no more than so many times what the best leaves. */
const worthTrying = 1.2

/** Of the column being written: the numbers counted from the origin, and what a form leaves of them. */
const counted = new Float64Array(columnMax)
const left = new Float64Array(columnMax)
const sampled = new Float64Array(samples)

/** Whole numbers, safe each, told from `origin`. Where there are none, nothing is written. */
export function writeColumn(out: ByteWriter, numbers: Float64Array, from: number, to: number, origin: number): void {
  const length = to - from
  if (length === 0) return
  let isNear = Math.abs(origin) <= originMax
  for (let i = 0; i < length; i++) {
    const number = (numbers[from + i] as number) - origin
    counted[i] = number
    if (!(number <= spreadMax && number >= -spreadMax)) isNear = false
  }
  const best = isNear ? bestForm(length) : null
  if (best === null) writeWhole(out, numbers, from, to)
  else writePacked(out, length, best)
}

/** Any numbers, as they are. */
export function writeWhole(out: ByteWriter, numbers: Float64Array, from: number, to: number): void {
  if (from === to) return
  out.byte(whole << formShift)
  for (let i = from; i < to; i++) out.float64(numbers[i] as number)
}

interface Form {
  form: number
  slope: number
  plan: Plan
}

/** Leaves in `left` what it leaves of the numbers. */
function bestForm(length: number): Form | null {
  const slope = slopeOf(length)
  const [ofFlat, ofSloped, ofStepped] = [
    spreadOf(flat, 0, length),
    spreadOf(sloped, slope, length),
    spreadOf(stepped, 0, length),
  ]
  const limit = worthTrying * Math.min(ofFlat, ofSloped, ofStepped)
  let best = ofFlat <= limit ? tried(flat, 0, length, null) : null
  if (ofSloped <= limit && slope !== 0) best = tried(sloped, slope, length, best)
  if (ofStepped <= limit) best = tried(stepped, 0, length, best)
  if (best !== null) fillLeft(best.form, best.slope, length)
  return best
}

function tried(form: number, slope: number, length: number, best: Form | null): Form | null {
  fillLeft(form, slope, length)
  const plan = planOf(left, length)
  return plan !== null && (best === null || plan.bytes < best.plan.bytes) ? { form, slope, plan } : best
}

function fillLeft(form: number, slope: number, length: number): void {
  if (form === stepped) {
    left[0] = counted[0] as number
    for (let i = 1; i < length; i++) left[i] = (counted[i] as number) - (counted[i - 1] as number)
  } else
    for (let i = 0, line = 0; i < length; i++, line += slope) left[i] = (counted[i] as number) - (line >> slopeShift)
}

/** How steeply they rise, in 256ths: from the middle of the first third to the middle of the last. 0 where that is too steep to tell. */
function slopeOf(length: number): number {
  if (length === 1) return 0
  const third = Math.ceil(length / 3)
  let rise = 0
  for (let i = 0; i < third; i++) rise += (counted[length - 1 - i] as number) - (counted[i] as number)
  const slope = Math.round(((rise / third) * 2 ** slopeShift) / (length - third))
  return Math.abs(slope) <= slopeMax ? slope : 0
}

/** About how far what a form leaves lies apart, but for a few. At least 1. */
function spreadOf(form: number, slope: number, length: number): number {
  if (length < samples) return 1
  for (let s = 0; s < samples; s++) {
    const i = 1 + (((2 * s + 1) * (length - 1)) >> 5)
    const beside = form === stepped ? (counted[i - 1] as number) : (i * slope) >> slopeShift
    const number = (counted[i] as number) - beside
    let place = s
    for (; place > 0 && (sampled[place - 1] as number) > number; place--) sampled[place] = sampled[place - 1] as number
    sampled[place] = number
  }
  return 1 + (sampled[samples - 1 - outliers] as number) - (sampled[outliers] as number)
}

function writePacked(out: ByteWriter, length: number, { form, slope, plan: { base, width } }: Form): void {
  const limit = base + 2 ** width
  let patches = 0
  for (let i = 0; i < length; i++) if (isOutside(left[i] as number, base, limit)) patches++
  out.byte((form << formShift) | (patches > 0 ? patchedBit : 0) | width)
  out.signed(base)
  if (form === sloped) out.signed(slope)
  if (patches > 0) out.byte(patches)
  pack(out, length, base, width)
  if (patches === 0) return
  for (let i = 0; i < length; i++) if (isOutside(left[i] as number, base, limit)) out.byte(i)
  for (let i = 0; i < length; i++) {
    const number = left[i] as number
    if (isOutside(number, base, limit)) out.signed(number - base)
  }
}

function isOutside(number: number, base: number, limit: number): boolean {
  return number < base || number >= limit
}

/** The bits of each number after those of the one before, the lowest first. What lies outside becomes 0. */
function pack(out: ByteWriter, length: number, base: number, width: number): void {
  let at = out.room((length * width + 7) >> 3)
  if (width === 0) return
  const limit = 2 ** width
  let held = 0
  let bits = 0
  for (let i = 0; i < length; i++) {
    const rest = (left[i] as number) - base
    const number = rest >= 0 && rest < limit ? rest | 0 : 0
    held |= number << bits
    bits += width
    if (bits < 32) continue
    out.int32At(at, held)
    at += 4
    bits -= 32
    held = number >>> (width - bits)
  }
  for (; bits > 0; bits -= 8) {
    out.bytes[at++] = held
    held >>>= 8
  }
}
