/** What a person may say of a drying: checked before it is recorded, with one sentence for what cannot be. */
import { Fault, type RunStep } from '../../shared/contract/index.ts'
import type { RunEntry } from './ledger.ts'

export const isDryingStep = (step: RunStep): boolean => step.step === 'weigh' || step.step === 'indicator'

export function dryingStep(run: RunEntry, step: RunStep): void {
  if (run.declaration.kind !== 'drying')
    throw new Fault('not-valid', `A ${run.declaration.kind} knows no "${step.step}"; that is for dryings.`)
  if (step.step === 'weigh' && step.grams === undefined)
    throw new Fault('not-valid', 'A weighing needs its `grams`: the whole piece, each time the same way.')
  if (step.step === 'indicator' && step.dry === undefined)
    throw new Fault('not-valid', 'An indicator needs `dry`: true where its colour says dry, false where it does not.')
}
