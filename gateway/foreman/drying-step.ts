/** What a person may say of a drying: checked before it is recorded, with one sentence for what cannot be. */
import { Fault, type RunStep } from '../../shared/contract/index.ts'
import type { House } from '../../shared/judge/index.ts'
import type { RunEntry } from './ledger.ts'

export const isDryingStep = (step: RunStep): boolean => step.step === 'weigh' || step.step === 'indicator'

export function dryingStep(house: House, run: RunEntry, step: RunStep): void {
  if (run.declaration.kind !== 'drying')
    throw new Fault('not-valid', `A ${run.declaration.kind} knows no "${step.step}"; that is for dryings.`)
  if (step.step === 'weigh' && step.grams === undefined)
    throw new Fault('not-valid', 'A weighing needs its `grams`: the whole piece, each time the same way.')
  if (step.step === 'indicator' && step.dry === undefined)
    throw new Fault('not-valid', 'An indicator needs `dry`: true where its colour says dry, false where it does not.')
  if (step.probe === undefined) return
  const rules = house.rules.stations[house.rules.stationOf.get(run.declaration.station) ?? -1]
  const pieces = (rules?.instruments ?? []).filter((i) => i.place === 'test-piece').map((i) => i.id)
  if (!pieces.includes(step.probe))
    throw new Fault(
      'not-valid',
      `"${step.probe}" is no test piece of this room; ${pieces.length > 0 ? `it has ${pieces.join(', ')}` : 'it has none'}.`,
    )
}
