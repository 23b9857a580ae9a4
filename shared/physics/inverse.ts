/** The way back from a voltage to a temperature: the reference function solved, quickly, as exactly as it can be written down. */
import { its90, type ReferencePiece, type ThermocoupleType } from './its90.ts'
import { pieceAt, pieceEmfMv, pieceSlope } from './reference-function.ts'

/** The rising branch of one type, cut into cells of equal voltage. A cubic through both ends of a cell is a very good first guess. */
export interface Branch {
  pieces: readonly ReferencePiece[]
  lowMv: number
  highMv: number
  cellsPerMv: number
  /** At the borders of the cells: the temperature, °C, and how it grows over a whole cell. */
  bordersC: Float64Array
  growthC: Float64Array
}

const cells = 1_024
/** A range includes its ends, and a sum of ten terms rounds. */
export const roundingMv = 1e-9
/** The last step of a solution, °C, is at most this. Its error is a thousandth of it or less, since each slope is known that well. */
const lastStepC = 1e-6

const branches: Partial<Record<ThermocoupleType, Branch>> = {}

/** Made when a type is first asked for: most houses have one. */
export function branchFor(type: ThermocoupleType): Branch {
  const known = branches[type]
  if (known !== undefined) return known
  const made = branchOf(its90[type])
  branches[type] = made
  return made
}

/** Where type B's voltage turns: it falls to −0.0026 mV near 21 °C before it rises. Below the turn a voltage has two meanings. */
function turnC(first: ReferencePiece): number {
  if (pieceSlope(first, first.fromC) > 0) return first.fromC
  let [low, high] = [first.fromC, first.toC]
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2
    if (pieceSlope(first, middle) > 0) high = middle
    else low = middle
  }
  return high
}

function branchOf(pieces: readonly ReferencePiece[]): Branch {
  const [first, last] = [pieces[0] as ReferencePiece, pieces[pieces.length - 1] as ReferencePiece]
  const [lowC, highC] = [turnC(first), last.toC]
  const [lowMv, highMv] = [pieceEmfMv(first, lowC), pieceEmfMv(last, highC)]
  const width = (highMv - lowMv) / cells
  const growthAt = (t: number) => width / pieceSlope(pieceAt(pieces, t) as ReferencePiece, t)
  const bordersC = new Float64Array(cells + 1)
  bordersC[0] = lowC
  bordersC[cells] = highC
  for (let i = 1; i < cells; i++) {
    const before = bordersC[i - 1] as number
    bordersC[i] = solved(pieces, lowMv + width * i, before, highC, before + growthAt(before))
  }
  const growthC = bordersC.map(growthAt)
  return { pieces, lowMv, highMv, cellsPerMv: 1 / width, bordersC, growthC }
}

/** Newton's method, held inside a bracket. A guess outside it is not taken. */
function solved(pieces: readonly ReferencePiece[], mv: number, fromC: number, toC: number, guessC: number): number {
  let [low, high] = [fromC, toC]
  let t = guessC > low && guessC < high ? guessC : (low + high) / 2
  for (let i = 0; i < 100; i++) {
    const piece = pieceAt(pieces, t) as ReferencePiece
    const error = pieceEmfMv(piece, t) - mv
    if (error > 0) high = t
    else low = t
    let next = t - error / pieceSlope(piece, t)
    if (!(next > low && next < high)) next = (low + high) / 2
    const step = Math.abs(next - t)
    t = next
    if (step < lastStepC / 1_000) return t
  }
  return t
}

/** The temperature, °C, at which this branch gives `mv`; null below and above it. */
export function inverseC(branch: Branch, mv: number): number | null {
  const { pieces, lowMv, highMv, cellsPerMv, bordersC, growthC } = branch
  if (!(mv >= lowMv - roundingMv && mv <= highMv + roundingMv)) return null
  const place = (mv - lowMv) * cellsPerMv
  const cell = place <= 0 ? 0 : place >= cells ? cells - 1 : Math.floor(place)
  const f = place - cell
  const [low, high] = [bordersC[cell] as number, bordersC[cell + 1] as number]
  const [rise, from, to] = [high - low, growthC[cell] as number, growthC[cell + 1] as number]
  const guess = low + f * (from + f * (3 * rise - 2 * from - to + f * (from + to - 2 * rise)))
  const piece = pieceAt(pieces, guess)
  if (piece !== null) {
    const step = (pieceEmfMv(piece, guess) - mv) * cellsPerMv * (from + f * (to - from))
    if (step < lastStepC && step > -lastStepC) return guess - step
  }
  // Where the curve bends hard (next to absolute zero, at type B's turn, where two pieces meet) the guess is not good enough.
  return solved(pieces, mv, low, high, low + f * rise)
}
