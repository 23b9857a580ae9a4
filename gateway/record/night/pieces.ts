/** The dryings in a room, and what the night did to each. */
import { badQuality } from '../../../shared/series/columns.ts'
import type { DryingRecipe, Foundry, NightLine, NightPiece } from '../../../shared/contract/index.ts'
import { type EpochMs, minuteMs } from '../../../shared/time.ts'
import { together } from './line.ts'
import type { NightRun, NightSeries } from './material.ts'

/** House practice of the trade, ±1.7 °C, where the recipe names nothing else (TRADE: ±3 °F for dipping and drying areas). */
export const waxRiseDefaultC = 1.7

export function dryingRecipe(foundry: Foundry, run: Pick<NightRun, 'recipe' | 'revision'>): DryingRecipe | undefined {
  const found = foundry.recipes.find((r) => r.id === run.recipe && r.revision === run.revision)
  return found?.kind === 'drying' ? found : undefined
}

/** The greatest rise of the wax above what it was at the dip: the mean of the ten minutes before. */
function riseOf({ columns }: NightSeries, from: EpochMs, to: EpochMs): number | null {
  let sum = 0
  let count = 0
  let most = Number.NEGATIVE_INFINITY
  for (let i = 0; i < columns.t.length; i++) {
    const t = columns.t[i] as number
    if (columns.quality[i] === badQuality || t < from - 10 * minuteMs || t > to) continue
    if (t < from) {
      sum += columns.v[i] as number
      count++
    } else most = Math.max(most, columns.v[i] as number)
  }
  return count > 0 && most > Number.NEGATIVE_INFINITY ? most - sum / count : null
}

export function pieceOf(
  run: NightRun,
  foundry: Foundry,
  lines: readonly NightLine[],
  probes: readonly NightSeries[],
  from: EpochMs,
  upTo: EpochMs,
): NightPiece {
  const stands = { from: Math.max(run.startedAt, from), to: Math.min(run.endedAt ?? upTo, upTo) }
  const recipe = dryingRecipe(foundry, run)
  const asked = lines.filter((l) => l.isLeading && (l.quantity === 'temperature' || recipe?.humidity))
  const rises = probes
    .map((p) => ({ probe: p.instrument.id, riseC: riseOf(p, run.startedAt, stands.to) }))
    .filter((r): r is { probe: string; riseC: number } => r.riseC !== null)
    .sort((a, b) => b.riseC - a.riseC)
  return {
    run: run.id,
    piece: run.piece,
    recipe: run.recipe,
    startedAt: run.startedAt,
    startedBy: run.startedBy,
    closedAt: run.endedAt,
    closedBy: run.closedBy,
    standsMs: Math.max(0, stands.to - stands.from),
    ...together(asked, stands),
    swingC: rises[0]?.riseC ?? null,
    swingProbe: rises[0]?.probe ?? null,
    swingLimitC: recipe?.waxRiseC ?? waxRiseDefaultC,
  }
}
