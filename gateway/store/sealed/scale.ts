/** The grid that the values of a block lie on, so that they are whole numbers of its steps; found without loss, or none is taken. */
import { BlockDamaged } from './damage.ts'

/** Between a value and the number of its step. Both rise together. */
export interface Scale {
  /** As it stands in the bytes. */
  readonly code: number
  /** False where a step is any number, not a whole one. */
  readonly isWhole: boolean
  /** Turns values into numbers of steps; false as soon as one of them does not lie on the grid. */
  toSteps(values: Float64Array, steps: Float64Array): boolean
  /** Turns numbers of steps into values, in place. */
  toValues(steps: Float64Array, from: number, to: number): void
  toValue(step: number): number
}

/** Steps to the unit: whole, binary as sensor chips count, decimal as people write. Coarse before fine. */
const parts = [
  1, 2, 4, 8, 10, 16, 32, 64, 100, 128, 256, 1_000, 1_024, 4_096, 10_000, 16_384, 65_536, 100_000, 1_000_000,
]
/** Of values that were given in another unit and turned into °C: decimals of that unit. */
const foreignParts = [1, 10, 100, 1_000]

const fahrenheitCode = 32
const kelvinCode = 64
/** 32-bit floating point, by its bits; and anything at all. */
const singleCode = 96
const anyCode = 97

/** Beyond this, neighbouring steps of the finest grid could be one value. */
const stepMax = 2 ** 45

/** Most blocks lie on one of these: nothing but a division. */
function plain(code: number, part: number): Scale {
  return {
    code,
    isWhole: true,
    toSteps(values, steps) {
      for (let i = 0; i < values.length; i++) {
        const value = values[i] as number
        const step = Math.round(value * part)
        if (step / part !== value || Math.abs(step) > stepMax) return false
        steps[i] = step
      }
      return true
    },
    toValues(steps, from, to) {
      if (part !== 1) for (let i = from; i < to; i++) steps[i] = (steps[i] as number) / part
    },
    toValue: (step) => step / part,
  }
}

function grid(code: number, toStep: (value: number) => number, toValue: (step: number) => number): Scale {
  return {
    code,
    isWhole: true,
    toSteps(values, steps) {
      for (let i = 0; i < values.length; i++) {
        const step = toStep(values[i] as number)
        if (toValue(step) !== values[i] || Math.abs(step) > stepMax) return false
        steps[i] = step
      }
      return true
    },
    toValues(steps, from, to) {
      for (let i = from; i < to; i++) steps[i] = toValue(steps[i] as number)
    },
    toValue,
  }
}

const bits = new DataView(new ArrayBuffer(4))

/** The bits of a 32-bit floating point number rise with it where it is positive, and fall where it is negative. */
function orderly(pattern: number): number {
  return pattern < 0 ? pattern ^ 0x7f_ff_ff_ff : pattern
}

const single = grid(
  singleCode,
  (value) => {
    // −0 has other bits.
    bits.setFloat32(0, value + 0)
    return orderly(bits.getInt32(0))
  },
  (step) => {
    bits.setInt32(0, orderly(step | 0))
    return bits.getFloat32(0)
  },
)

/** Every number is its own step. */
const any: Scale = {
  code: anyCode,
  isWhole: false,
  toSteps(values, steps) {
    // A block knows no −0.
    for (let i = 0; i < values.length; i++) steps[i] = (values[i] as number) + 0
    return true
  },
  toValues() {},
  toValue: (step) => step,
}

const scales: readonly Scale[] = [
  ...parts.map((part, i) => plain(i, part)),
  ...foreignParts.map((part, i) =>
    grid(
      fahrenheitCode + i,
      (value) => Math.round((value * 1.8 + 32) * part),
      (step) => ((step / part - 32) * 5) / 9,
    ),
  ),
  ...foreignParts.map((part, i) =>
    grid(
      kelvinCode + i,
      (value) => Math.round((value + 273.15) * part),
      (step) => step / part - 273.15,
    ),
  ),
  single,
  any,
]

const scaleOfCode: ReadonlyMap<number, Scale> = new Map(scales.map((scale) => [scale.code, scale]))

/** The first grid, coarse before fine, on which all values lie; their steps are left in `steps`. */
export function scaleFor(values: Float64Array, steps: Float64Array): Scale {
  return scales.find((scale) => scale.toSteps(values, steps)) ?? any
}

export function scaleBy(code: number): Scale {
  const scale = scaleOfCode.get(code)
  if (scale === undefined) throw new BlockDamaged('course, scale', `The course has a scale that is not known: ${code}.`)
  return scale
}
