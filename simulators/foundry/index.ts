/** The invented foundry as the document that the gateway reads. */
import { Foundry } from '../../shared/contract/index.ts'
import { instruments } from './instruments.ts'
import { recipes } from './recipes.ts'
import { stations } from './stations.ts'

export const siteZone = 'Europe/London'

/** Parsed by the contract, so that an invented foundry can be no less valid than a real one. */
export const inventedFoundry: Foundry = Foundry.parse({
  site: { name: 'Tallow Wharf Foundry', timeZone: siteZone, elevationM: 12, invented: true },
  stations,
  instruments,
  recipes,
})
