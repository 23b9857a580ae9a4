/** Whether wax is conditioned: melted through, held in its window, stirred where the recipe asks. Plain data. */
import type { Conditioning, WaxRecipe } from '../../contract/index.ts'
import { type EpochMs, minuteMs } from '../../time.ts'

export interface Held {
  /** In the window since; null outside. */
  since: EpochMs | null
  /** Outside since; a brush or a breath of the thermostat does not end it. */
  outSince: EpochMs | null
  /** Since when it has been liquid all through; null where it is not. */
  liquidSince: EpochMs | null
  stirredAt: EpochMs | null
  lastAt: EpochMs | null
  /** Conditioned since; lasts until it goes cold. */
  doneSince: EpochMs | null
}

export const notHeld: Held = {
  since: null,
  outSince: null,
  liquidSince: null,
  stirredAt: null,
  lastAt: null,
  doneSince: null,
}

/** So short and so little outside the window does not start the hold anew. */
const breathMs = 2 * minuteMs
const breathC = 1
/** Colder than the recipe's lowest window by so much it is cold, and must be conditioned again, °C. */
const coldBelowC = 25
const holeMs = 10 * minuteMs

export function heldIn(recipe: WaxRecipe | null, held: Held, t: EpochMs, c: number): Held {
  const asked = recipe?.conditioning
  if (!recipe || !asked) return held
  const { fromC, toC } = asked.window
  const isHole = held.lastAt !== null && t - held.lastAt > holeMs
  const before: Held = isHole ? { ...held, since: null, outSince: null } : held
  const lowest = Math.min(...recipe.coats.map((coat) => coat.window.fromC))
  if (c < (recipe.congealing?.toC ?? lowest - coldBelowC)) return { ...notHeld, lastAt: t }
  const liquidSince = before.liquidSince ?? t
  if (fromC <= c && c <= toC) {
    const since = before.since ?? t
    const isLong = t - since >= asked.holdMinutes * minuteMs
    const isStirred = asked.stirred !== true || (before.stirredAt !== null && before.stirredAt >= liquidSince)
    return {
      ...before,
      since,
      outSince: null,
      liquidSince,
      lastAt: t,
      doneSince: before.doneSince ?? (isLong && isStirred ? t : null),
    }
  }
  const outSince = before.outSince ?? t
  const isBreath = before.since !== null && c > fromC - breathC && c < toC + breathC && t - outSince <= breathMs
  return { ...before, since: isBreath ? before.since : null, outSince, liquidSince, lastAt: t }
}

export function conditioned(
  recipe: WaxRecipe | null,
  liquidC: number | null,
  held: Held,
  waxC: number | null,
): Conditioning {
  const asked = recipe?.conditioning
  if (!asked) return { is: 'no-recipe' }
  if (waxC === null) return { is: 'unseen' }
  if (held.doneSince !== null) return { is: 'conditioned', since: held.doneSince }
  if (liquidC !== null && waxC <= liquidC) return { is: 'not-melted' }
  const { since, lastAt } = held
  if (since === null) return { is: 'outside', side: waxC < asked.window.fromC ? 'below' : 'above' }
  const readyAt = since + asked.holdMinutes * minuteMs
  return lastAt !== null && lastAt >= readyAt ? { is: 'stir', since } : { is: 'holding', since, readyAt }
}
