/** One piece of a reference function: its value and its slope. What the published coefficients mean, and nothing more. */
import type { ReferencePiece } from './its90.ts'

/** Voltage, mV, at `t` °C by this piece, whether or not it reaches there. */
export function pieceEmfMv({ c, exponential }: ReferencePiece, t: number): number {
  let sum = 0
  for (let i = c.length - 1; i >= 0; i--) sum = sum * t + (c[i] as number)
  if (exponential === undefined) return sum
  const away = t - exponential.a2
  return sum + exponential.a0 * Math.exp(exponential.a1 * away * away)
}

/** Its derivative, mV/°C. */
export function pieceSlope({ c, exponential }: ReferencePiece, t: number): number {
  let sum = 0
  for (let i = c.length - 1; i >= 1; i--) sum = sum * t + i * (c[i] as number)
  if (exponential === undefined) return sum
  const { a0, a1, a2 } = exponential
  const away = t - a2
  return sum + a0 * 2 * a1 * away * Math.exp(a1 * away * away)
}

/** The piece whose range `t` lies in; where two meet, the lower. Null outside all, and for what is no number. */
export function pieceAt(pieces: readonly ReferencePiece[], t: number): ReferencePiece | null {
  for (let i = 0; i < pieces.length; i++) {
    const piece = pieces[i] as ReferencePiece
    if (t >= piece.fromC && t <= piece.toC) return piece
  }
  return null
}
