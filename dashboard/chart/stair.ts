/** The stair of a recipe on a sheet of so many pixels: treads from left to right and downward, and beads of wax on them. Pure. */
import type { PotView, TrailPoint, WaxRecipe } from '../../shared/contract/index.ts'
import { type Scale, scale } from './scale.ts'

export interface Tread {
  coat: string
  name: string
  x: number
  width: number
  top: number
  bottom: number
  fromC: number
  toC: number
}

export interface Stair {
  treads: Tread[]
  y: Scale
  floorY: number | null
  /** Where the wax of a temperature stands from left to right: along the stair, not beside it. */
  xOf(celsius: number): number
}

/** How much of the sheet lies above the highest and below the lowest edge, °C. */
const aboveC = 4
const belowC = 4

export function stairOf(
  recipe: WaxRecipe,
  asked: readonly string[],
  pots: readonly PotView[],
  box: { left: number; right: number; top: number; bottom: number },
): Stair {
  const coats = recipe.coats.filter((coat) => asked.includes(coat.id))
  const edges = coats.flatMap(({ window }) => [window.fromC, window.toC])
  const low = Math.min(...edges, ...(recipe.floorC === undefined ? [] : [recipe.floorC])) - belowC
  const high = Math.max(...edges) + aboveC
  const waxes = pots.flatMap(({ waxC }) => (waxC === null ? [] : [waxC]))
  // Hotter wax is drawn a little above the first tread, never off the sheet; much hotter wax does not squeeze the stair.
  const top = Math.max(high, Math.min(high + 10, ...(waxes.length > 0 ? [Math.max(...waxes) + 2] : [high])))
  const y = scale(low, top, box.bottom, box.top)
  const width = (box.right - box.left) / Math.max(1, coats.length)
  const treads = coats.map((coat, i): Tread => {
    const { fromC, toC } = coat.window
    return { coat: coat.id, name: coat.name, x: box.left + i * width, width, top: y(toC), bottom: y(fromC), fromC, toC }
  })
  /** Corners of the way down: the middle of each tread. */
  const way = treads.map((t) => ({ c: (t.fromC + t.toC) / 2, x: t.x + t.width / 2 }))
  const xOf = (celsius: number): number => {
    const [first, last] = [way[0], way.at(-1)]
    if (!first || !last) return box.left
    if (celsius >= first.c) return first.x - Math.min(width * 0.35, (celsius - first.c) * 4)
    if (celsius <= last.c) return Math.min(box.right - 12, last.x + Math.min(width * 0.35, (last.c - celsius) * 4))
    const at = way.findIndex((p) => p.c <= celsius)
    const [a, b] = [way[at - 1] ?? first, way[at] ?? last]
    return a.c === b.c ? a.x : a.x + ((a.c - celsius) / (a.c - b.c)) * (b.x - a.x)
  }
  return { treads, y, floorY: recipe.floorC === undefined ? null : y(recipe.floorC), xOf }
}

/** A few points of the trail, with whole minutes to write beside them: the farther, the fainter. */
export function beadsOf(trail: readonly TrailPoint[], now: number, stair: Stair, wanted: number) {
  const every = Math.max(1, Math.floor(trail.length / wanted))
  return trail
    .filter((_, i) => i % every === every - 1)
    .map((p, i, all) => ({
      x: stair.xOf(p.midC),
      y: stair.y(p.midC),
      lowY: stair.y(p.lowC),
      highY: stair.y(p.highC),
      minutes: Math.round((p.at - now) / 60_000),
      faint: 1 - i / (all.length + 1),
    }))
}
