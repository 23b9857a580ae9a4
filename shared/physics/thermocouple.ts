/** Thermocouples: the voltage a junction gives, and the temperature a voltage means, by the ITS-90 reference functions. */
import { its90, type ReferencePiece, type ThermocoupleType, thermocoupleTypes } from './its90.ts'

function polynomial(c: readonly number[], x: number): number {
  let sum = 0
  for (let i = c.length - 1; i >= 0; i--) sum = sum * x + (c[i] as number)
  return sum
}

function slope(c: readonly number[], x: number): number {
  let sum = 0
  for (let i = c.length - 1; i >= 1; i--) sum = sum * x + i * (c[i] as number)
  return sum
}

function pieceEmfMv(piece: ReferencePiece, t: number): number {
  const bump = piece.exponential
  const sum = polynomial(piece.c, t)
  return bump === undefined ? sum : sum + bump.a0 * Math.exp(bump.a1 * (t - bump.a2) ** 2)
}

function pieceSlope(piece: ReferencePiece, t: number): number {
  const bump = piece.exponential
  const sum = slope(piece.c, t)
  return bump === undefined ? sum : sum + bump.a0 * 2 * bump.a1 * (t - bump.a2) * Math.exp(bump.a1 * (t - bump.a2) ** 2)
}

function pieceAt(pieces: readonly ReferencePiece[], t: number): ReferencePiece | null {
  for (const piece of pieces) if (t >= piece.fromC && t <= piece.toC) return piece
  return null
}

/**
 * Voltage of a junction at `temperatureC` against a reference junction at 0 °C, mV.
 * Range °C: K −270…1372, J −210…1200, N −270…1300, T −270…400, E −270…1000, R and S −50…1768.1, B 0…1820; outside null.
 * Source: NIST SRD 60, direct functions (its90.ts). Measured agreement with its tables: within 0.0005 mV, half their last digit.
 */
export function emfMv(type: ThermocoupleType, temperatureC: number): number | null {
  const piece = pieceAt(its90[type], temperatureC)
  return piece === null ? null : pieceEmfMv(piece, temperatureC)
}

/** Sensitivity at `temperatureC`, mV/°C: the derivative of the same function, over the same range; outside null. */
export function sensitivityMvPerC(type: ThermocoupleType, temperatureC: number): number | null {
  const piece = pieceAt(its90[type], temperatureC)
  return piece === null ? null : pieceSlope(piece, temperatureC)
}

/** The rising branch of one type, cut into cells of equal voltage: each cell brackets its answer. */
interface Branch {
  pieces: readonly ReferencePiece[]
  lowMv: number
  highMv: number
  cellsPerMv: number
  /** Temperatures at the cell borders, °C. */
  bordersC: Float64Array
}

const cells = 512
/** A range includes its ends, and a sum of ten terms rounds. */
const roundingMv = 1e-9
/** Where type B's voltage turns: it falls to −0.0026 mV near 21 °C before it rises. Below the turn a voltage has two meanings. */
function turnC(pieces: readonly ReferencePiece[]): number {
  const first = pieces[0] as ReferencePiece
  if (pieceSlope(first, first.fromC) > 0) return first.fromC
  let [low, high] = [first.fromC, first.toC]
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2
    if (pieceSlope(first, middle) > 0) high = middle
    else low = middle
  }
  return high
}

function bisectC(pieces: readonly ReferencePiece[], mv: number, fromC: number, toC: number): number {
  let [low, high] = [fromC, toC]
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2
    if (pieceEmfMv(pieceAt(pieces, middle) as ReferencePiece, middle) > mv) high = middle
    else low = middle
  }
  return (low + high) / 2
}

function branchOf(type: ThermocoupleType): Branch {
  const pieces = its90[type]
  const lowC = turnC(pieces)
  const highC = (pieces[pieces.length - 1] as ReferencePiece).toC
  const lowMv = pieceEmfMv(pieces[0] as ReferencePiece, lowC)
  const highMv = pieceEmfMv(pieces[pieces.length - 1] as ReferencePiece, highC)
  const bordersC = new Float64Array(cells + 1)
  for (let i = 0; i <= cells; i++) bordersC[i] = bisectC(pieces, lowMv + ((highMv - lowMv) * i) / cells, lowC, highC)
  bordersC[0] = lowC
  bordersC[cells] = highC
  return { pieces, lowMv, highMv, cellsPerMv: cells / (highMv - lowMv), bordersC }
}

const branches = Object.fromEntries(thermocoupleTypes.map((type) => [type, branchOf(type)])) as Record<
  ThermocoupleType,
  Branch
>

/**
 * Temperature, °C, of a junction that gives `mv` against a reference junction at 0 °C.
 * Solves the direct function (Newton, held inside a bracket), because the published inverse polynomials are up to 0.06 °C off and do
 * not lead back. Range: that of `emfMv`, for type B from its turn near 21 °C up; outside null, and below the turn of
 * type B there is no single answer: null. Round trip through `emfMv` measured within 1e-6 °C over the whole range.
 */
export function temperatureOfEmfC(type: ThermocoupleType, mv: number): number | null {
  const { pieces, lowMv, highMv, cellsPerMv, bordersC } = branches[type]
  if (!(mv >= lowMv - roundingMv && mv <= highMv + roundingMv)) return null
  const place = (mv - lowMv) * cellsPerMv
  const cell = Math.max(0, Math.min(cells - 1, Math.floor(place)))
  let low = (bordersC[cell] as number) - 1e-9
  let high = (bordersC[cell + 1] as number) + 1e-9
  let t = low + (high - low) * (place - cell)
  for (let i = 0; i < 60; i++) {
    const piece = pieceAt(pieces, t) ?? (pieces[t < 0 ? 0 : pieces.length - 1] as ReferencePiece)
    const error = pieceEmfMv(piece, t) - mv
    if (error > 0) high = t
    else low = t
    let next = t - error / pieceSlope(piece, t)
    if (!(next > low && next < high)) next = (low + high) / 2
    if (Math.abs(next - t) < 1e-9) return next
    t = next
  }
  return t
}

/**
 * Temperature of the hot junction, °C, of a bare thermocouple that gives `microvolts` while its cold end is at `junctionC`.
 * Compensated in voltage, t = inverse(E + E(junction)), never by adding temperatures. Null where either end lies outside the
 * range of its type. Agrees with the two published worked examples for type K within 0.01 °C.
 */
export function hotJunctionC(type: ThermocoupleType, microvolts: number, junctionC: number): number | null {
  const atJunctionMv = emfMv(type, junctionC)
  return atJunctionMv === null ? null : temperatureOfEmfC(type, microvolts / 1_000 + atJunctionMv)
}
