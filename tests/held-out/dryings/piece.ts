/** A test piece: wax with a probe just under the shell, coats of shell over it, and where on the pattern it sits. */
import type { Chance } from '../lies/chance.ts'
import type { Geometry } from './scene.ts'
import type { Edges, Layer } from './stack.ts'

export interface PieceSpec {
  geometry: Geometry
  coat: 'prime' | 'backup'
  coatsBefore: number
  /** The new coat, and each earlier one, m. */
  newM: number
  earlierM: number
  porosity: number
  shellWPerMK: number
  shellJPerM3K: number
  /** How full the dip sucks the earlier coats at their outside, and the depth in which that falls to 1/e, m. */
  suction: number
  suctionM: number
  /** Share of that fullness that seeps into all of them, however deep. */
  seeps: number
  /** Vapour's diffusion in dry shell ÷ in free air. */
  open: number
  /** Share of the free water at which the surface is wet no longer. */
  critical: number
  /** How ragged the front is: the area that still gives off vapour is the share of water left, once the surface is dry, to this power. */
  ragged: number
  /** Share of the water held by the binder, and how fast perfectly dry air would draw it once the front has passed, 1/s. */
  bound: number
  boundPerS: number
  waxM: number
  hollow: boolean
  /** Depth of the probe below the shell, m. */
  probeM: number
  waxWPerMK: number
  waxJPerM3K: number
  filmW: number
  /** Of the film: heat's to vapour's transfer, as ρ·cp·this. */
  lewis: number
  radiantW: number
  /** m/s: what a pocket's mouth lets through for each m² of its wall. Infinite: no pocket. */
  pocketMPerS: number
  curve: number
  farFilmW: number
  farJPerK: number
  leakW: number
}

/** `slow`: a piece that stays wet long enough, and is light enough, to be caught by the trap of the open door. */
export function pieceOf(c: Chance, geometry: Geometry, slow: boolean): PieceSpec {
  const coatsBefore = slow ? c.whole(2, 8) : c.pick([0, 0, 1, 2, 3, 4, 5, 6, 7, 8])
  const coat = coatsBefore < 2 && c.often(0.8) ? 'prime' : 'backup'
  const waxM = slow ? c.scaled(0.003, 0.014) : c.scaled(0.003, 0.04)
  const hollow = waxM < 0.012 ? c.often(0.8) : c.often(0.15)
  const pocket = geometry === 'deep-pocket'
  const shellM = coatsBefore * 1e-3
  return {
    geometry,
    coat,
    coatsBefore,
    newM: coat === 'prime' ? c.between(0.5e-3, 0.9e-3) : c.between(0.8e-3, 1.5e-3),
    earlierM: c.between(0.7e-3, 1.2e-3),
    porosity: c.between(0.27, 0.38),
    shellWPerMK: c.between(0.5, 1.1),
    shellJPerM3K: c.between(1.3e6, 1.9e6),
    suction: c.between(0.2, 0.6),
    suctionM: c.between(0.8e-3, 2.5e-3),
    seeps: c.between(0.02, 0.08),
    open: c.between(0.08, 0.22),
    critical: pocket ? c.between(0.25, 0.6) : c.between(0.3, 0.75),
    ragged: c.between(0.35, 0.75),
    bound: c.between(0.003, 0.035),
    boundPerS: 1 / c.between(1_500, 6_000),
    waxM,
    hollow,
    probeM: Math.min(waxM / 5, c.between(0.4e-3, 1.4e-3)),
    waxWPerMK: c.between(0.19, 0.27),
    waxJPerM3K: c.between(1.9e6, 2.4e6),
    filmW: pocket
      ? c.between(3, 5.5)
      : (coat === 'prime' ? c.between(4, 8) : c.between(7, 16)) * (geometry === 'edge' ? 1.35 : 1),
    lewis: c.between(0.92, 1),
    radiantW: c.between(4.8, 5.6) * (pocket ? c.between(0.08, 0.25) : geometry === 'edge' ? 1 : c.between(0.7, 1)),
    pocketMPerS: pocket ? c.scaled(2e-3, 7e-3) : Number.POSITIVE_INFINITY,
    // An edge is a rod of some thickness; a pocket the inside of a tube.
    curve: geometry === 'edge' ? -0.7 / (waxM + shellM + 2e-3) : pocket ? 1 / c.between(0.01, 0.04) : 0,
    farFilmW: c.between(3, 6) * (hollow ? 1 : 0.6),
    farJPerK: hollow ? c.scaled(200, 6_000) : c.scaled(2_000, 20_000),
    leakW: (hollow ? c.between(0.8, 5) : c.between(0.2, 1.6)) * (pocket ? 0.4 : 1),
  }
}

/** Another night's dip: a coat is never as thick, nor drains as deep, as the last one. */
export function anotherDip(c: Chance, piece: PieceSpec): PieceSpec {
  const about = (v: number, spread: number) => v * (1 + c.near(spread, 2.5 * spread))
  return {
    ...piece,
    newM: about(piece.newM, 0.08),
    suction: Math.min(0.9, about(piece.suction, 0.1)),
    filmW: about(piece.filmW, 0.06),
    ragged: Math.min(0.85, about(piece.ragged, 0.05)),
    critical: Math.min(0.85, about(piece.critical, 0.06)),
  }
}

export const newCells = 4
/** Probe's cell, counted after the shell's. */
const waxCells = 8

export function shellCells(piece: PieceSpec, dipped: boolean): number {
  return (dipped ? newCells : 0) + earlierCells(piece)
}

function earlierCells(piece: PieceSpec): number {
  return Math.min(6, 2 * piece.coatsBefore)
}

export function layersOf(piece: PieceSpec, dipped: boolean): Layer[] {
  const shell = { conductivity: piece.shellWPerMK, jPerM3K: piece.shellJPerM3K, growth: 1 }
  const wax = { conductivity: piece.waxWPerMK, jPerM3K: piece.waxJPerM3K }
  return [
    { cells: dipped ? newCells : 0, thicknessM: piece.newM, ...shell },
    { cells: earlierCells(piece), thicknessM: piece.coatsBefore * piece.earlierM, ...shell },
    // The first cell of the wax has the probe in its middle.
    { cells: 1, thicknessM: 2 * piece.probeM, growth: 1, ...wax },
    { cells: waxCells - 1, thicknessM: piece.waxM - 2 * piece.probeM, growth: 1.25, ...wax },
  ]
}

export function edgesOf(piece: PieceSpec, airHeat: number): Edges {
  const throughMouth = 1 / (1 / piece.filmW + 1 / (airHeat * piece.pocketMPerS))
  return {
    outerW: throughMouth + piece.radiantW,
    farFilmW: piece.farFilmW,
    farJPerK: piece.farJPerK,
    leakW: piece.leakW,
    curve: piece.curve,
  }
}
