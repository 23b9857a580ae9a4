/** A held-out drying as a gateway holds it: columns of its readings, and its weighings in grams. */
import type { HeardDrying } from '../../gateway/record/dryness/board.ts'
import type { Said } from '../../gateway/record/dryness/weighed.ts'
import type { NightColumns } from '../../gateway/record/night/material.ts'
import { DryingRecipe } from '../../shared/contract/index.ts'
import { minuteMs } from '../../shared/time.ts'
import type { DryingRun, Series } from '../held-out/dryings/scene.ts'

export const recipe = DryingRecipe.parse({
  kind: 'drying',
  id: 'backup',
  name: 'Backup',
  temperature: { fromC: 20, toC: 24 },
  hoursMin: 2,
  hoursMax: 48,
})

const columns = ({ t, v }: Series, to: number): NightColumns => {
  const end = t.findIndex((at) => at > to)
  const n = end < 0 ? t.length : end
  return {
    t: Float64Array.from(t.slice(0, n)),
    v: Float64Array.from(v.slice(0, n)),
    quality: new Uint8Array(n),
    arrivedAt: Float64Array.from(t.slice(0, n)),
  }
}

export const weigh = (at: number, grams: number, probe?: string): Said => ({
  step: { step: 'weigh', grams, ...(probe !== undefined && { probe }) },
  at,
  by: 'Asha',
})

/** As it stood at an instant. A piece of 800 g with 100 g of water in it, weighed wet and, once more, dry. */
export function heardAt(run: DryingRun, to: number): HeardDrying {
  const weighed = run.weighings.t.map((at, i) => weigh(at, 800 + 100 * (run.weighings.v[i] as number)))
  const last = (run.weighings.t.at(-1) ?? run.dippedAt) + 10 * minuteMs
  return {
    run: run.id,
    dippedAt: run.dippedAt,
    to,
    air: columns(run.air, to),
    humidity: columns(run.humidity, to),
    wax: columns(run.wax, to),
    steps: weighed.length === 0 ? [] : [...weighed, weigh(last, 800), weigh(last + 10 * minuteMs, 800)],
  }
}
