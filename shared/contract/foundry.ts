/** The foundry as one document: site, stations, instruments, recipes. Valid as a whole or not at all. */
import { z } from 'zod'
import { Instrument } from './instrument.ts'
import { instrumentsMax, recipesMax, stationsMax } from './limits.ts'
import { Recipe } from './recipe.ts'
import { Site } from './site.ts'
import { Station } from './station.ts'

type Path = (string | number)[]

const Shape = z.strictObject({
  site: Site,
  stations: z.array(Station).max(stationsMax).default([]),
  instruments: z.array(Instrument).max(instrumentsMax).default([]),
  recipes: z.array(Recipe).max(recipesMax).default([]),
})

export const Foundry = Shape.superRefine((foundry, context) => {
  const complain = (path: Path, message: string) => context.addIssue({ code: 'custom', path, message })
  const stations = new Map(foundry.stations.map((s) => [s.id, s]))
  const home = new Map(foundry.instruments.map((i) => [i.id, i.station]))

  onlyOnce(
    foundry.stations.map((s) => s.id),
    'stations',
    complain,
  )
  onlyOnce(
    foundry.instruments.map((i) => i.id),
    'instruments',
    complain,
  )
  onlyOnce(
    foundry.recipes.map((r) => `${r.id} revision ${r.revision}`),
    'recipes',
    complain,
  )

  foundry.instruments.forEach((instrument, i) => {
    if (!stations.has(instrument.station))
      complain(['instruments', i, 'station'], `names the station "${instrument.station}", which does not exist`)
    if (instrument.thermocouple && instrument.kind !== 'thermocouple')
      complain(['instruments', i, 'thermocouple'], `is for thermocouples; this is of kind "${instrument.kind}"`)
  })

  foundry.stations.forEach((station, s) => {
    const must = (name: string | undefined, path: Path) => {
      if (name === undefined) return
      const at = home.get(name)
      if (at === undefined) complain(path, `names the instrument "${name}", which does not exist`)
      else if (at !== station.id) complain(path, `names the instrument "${name}", which watches the station "${at}"`)
    }
    must(station.leading, ['stations', s, 'leading'])
    station.limits.forEach((limit, l) => must(limit.instrument, ['stations', s, 'limits', l, 'instrument']))
  })

  foundry.recipes.forEach((recipe, r) => {
    if (recipe.kind !== 'burnout') return
    recipe.governing.forEach((name, g) => {
      if (!home.has(name))
        complain(['recipes', r, 'governing', g], `names the instrument "${name}", which does not exist`)
    })
  })
})
export type Foundry = z.infer<typeof Foundry>

function onlyOnce(ids: string[], list: string, complain: (path: Path, message: string) => void): void {
  const seen = new Map<string, number>()
  ids.forEach((id, i) => {
    const first = seen.get(id)
    if (first === undefined) seen.set(id, i)
    else complain([list, i, 'id'], `"${id}" already stands at ${list}[${first}]`)
  })
}

/** What a gateway begins with: nothing but a zone to tell nights by. */
export const emptyFoundry: Foundry = {
  site: { name: 'Our foundry', timeZone: 'UTC', elevationM: 0, invented: false },
  stations: [],
  instruments: [],
  recipes: [],
}
