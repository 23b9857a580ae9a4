/** What a person may say of a burnout: checked before it is recorded, with one sentence for what cannot be. */
import { Fault, type Recipe, type Run, type RunStep } from '../../shared/contract/index.ts'
import type { House } from '../../shared/judge/index.ts'
import type { RunEntry } from './ledger.ts'

export function burnoutStep(house: House, recipe: Recipe, run: RunEntry, step: RunStep, open: Run | null): void {
  if (recipe.kind !== 'burnout')
    throw new Fault('not-valid', `A ${run.declaration.kind} knows no "${step.step}"; that is for burnouts.`)
  if (step.step === 'hand') {
    if (recipe.hands?.some((h) => h.id === step.hand)) return
    const known = recipe.hands?.map((h) => h.id).join(', ')
    throw new Fault(
      'not-valid',
      `The recipe "${recipe.id}" has no step "${step.hand ?? ''}"; ${known ? `it has ${known}` : 'it has none for people'}.`,
    )
  }
  if (step.step === 'appoint') appointable(house, run, step, open)
  if (step.step === 'pour' && (open?.progress.kind !== 'burnout' || open.progress.pulledAt === null))
    throw new Fault('not-valid', 'Nothing was pulled from this kiln yet: say `pull` first.')
}

/** Only a load probe may stand in for a load probe: air never replaces load. */
function appointable(house: House, run: RunEntry, step: RunStep, open: Run | null): void {
  const { probe, instead } = step
  if (probe === undefined || instead === undefined)
    throw new Fault('not-valid', 'Say which `probe` governs from now on, and `instead` of which.')
  const rules = house.rules.stations[house.rules.stationOf.get(run.declaration.station) ?? -1]
  const one = rules?.instruments.find((i) => i.id === probe)
  const other = rules?.instruments.find((i) => i.id === instead)
  if (!one) throw new Fault('not-valid', `There is no instrument "${probe}" at this kiln.`)
  const governing = open?.progress.kind === 'burnout' ? open.progress.governing : []
  if (!governing.includes(instead))
    throw new Fault('not-valid', `"${instead}" does not govern now; ${governing.join(', ') || 'nobody'} does.`)
  if (one.kind !== 'thermocouple') throw new Fault('not-valid', `"${probe}" is no thermocouple.`)
  if (other?.place !== 'kiln-air' && one.place !== 'kiln-load')
    throw new Fault(
      'not-valid',
      `"${probe}" is not in the load (its place is ${one.place ?? 'not said'}). Air never stands in for load.`,
    )
}
