/** The foundry as one document: site, stations, instruments, recipes. Valid as a whole or not at all. */
import { z } from 'zod'
import { type Complaint, explain, pathText } from './explain.ts'
import { Instrument } from './instrument.ts'
import { instrumentsMax, mappingsMax, recipesMax, stationsMax } from './limits.ts'
import { Mapping } from './mapping.ts'
import { Recipe } from './recipe.ts'
import { Site } from './site.ts'
import { Station } from './station.ts'

type Path = (string | number)[]

const Shape = z.strictObject({
  site: Site,
  stations: z.array(Station).max(stationsMax).default([]),
  instruments: z.array(Instrument).max(instrumentsMax).default([]),
  recipes: z.array(Recipe).max(recipesMax).default([]),
  /** How to read devices that speak their own JSON. */
  mappings: z.array(Mapping).max(mappingsMax).optional(),
})

type Complain = (path: Path, message: string) => void

/** Anything that may stand where an object of the document is expected. */
type Loose = Readonly<Record<string, unknown>>

/** The objects of a list; what is no object is the schema's business, and keeps its place. */
function looseList(document: unknown, key: string): Loose[] {
  const list = (document as Loose | null)?.[key]
  return Array.isArray(list)
    ? list.map((one: unknown) => (typeof one === 'object' && one !== null ? (one as Loose) : {}))
    : []
}

const textOf = (value: unknown): string | undefined => (typeof value === 'string' ? value : undefined)

/** What names what: asked of any document, also of one whose shape is wrong elsewhere, so that every fault is told at once. */
function crossCheck(document: unknown, complain: Complain): void {
  const [stations, instruments, recipes] = [
    looseList(document, 'stations'),
    looseList(document, 'instruments'),
    looseList(document, 'recipes'),
  ]
  const stationIds = new Set(stations.map((s) => textOf(s['id'])))
  const home = new Map(instruments.map((i) => [textOf(i['id']), textOf(i['station'])]))

  onlyOnce(
    stations.map((s) => textOf(s['id'])),
    'stations',
    complain,
  )
  onlyOnce(
    instruments.map((i) => textOf(i['id'])),
    'instruments',
    complain,
  )
  const revision = (r: Loose) =>
    textOf(r['id']) === undefined ? undefined : `${textOf(r['id'])} revision ${r['revision'] ?? 1}`
  onlyOnce(recipes.map(revision), 'recipes', complain)

  instruments.forEach(({ station, thermocouple, kind }, i) => {
    const at = textOf(station)
    if (at !== undefined && !stationIds.has(at))
      complain(['instruments', i, 'station'], `names the station "${at}", which does not exist`)
    if (thermocouple !== undefined && kind !== 'thermocouple')
      complain(['instruments', i, 'thermocouple'], `is for thermocouples; this is of kind "${String(kind)}"`)
  })

  stations.forEach((station, s) => {
    const must = (value: unknown, path: Path) => {
      const name = textOf(value)
      if (name === undefined) return
      if (!home.has(name)) complain(path, `names the instrument "${name}", which does not exist`)
      else if (home.get(name) !== textOf(station['id']))
        complain(path, `names the instrument "${name}", which watches the station "${home.get(name) ?? ''}"`)
    }
    must(station['leading'], ['stations', s, 'leading'])
    const opensTo = textOf(station['opensTo'])
    if (opensTo !== undefined && !stationIds.has(opensTo))
      complain(['stations', s, 'opensTo'], `names the station "${opensTo}", which does not exist`)
    looseList(station, 'limits').forEach((limit, l) =>
      must(limit['instrument'], ['stations', s, 'limits', l, 'instrument']),
    )
  })

  recipes.forEach((recipe, r) => {
    const governing: unknown[] = Array.isArray(recipe['governing']) ? recipe['governing'] : []
    governing.forEach((value, g) => {
      const name = textOf(value)
      if (name !== undefined && !home.has(name))
        complain(['recipes', r, 'governing', g], `names the instrument "${name}", which does not exist`)
    })
  })
}

export const Foundry = Shape.superRefine((foundry, context) => {
  crossCheck(foundry, (path, message) => context.addIssue({ code: 'custom', path, message }))
})

/** Every fault of a document: those of its shape, and those of what names what. */
export function explainFoundry(error: z.ZodError, document: unknown): Complaint[] {
  const complaints = explain(error, document)
  crossCheck(document, (path, message) => {
    const place = pathText(path)
    if (!complaints.some((c) => c.path === place)) complaints.push({ path: place, sentence: `${place} ${message}.` })
  })
  return complaints
}
export type Foundry = z.infer<typeof Foundry>

function onlyOnce(ids: (string | undefined)[], list: string, complain: Complain): void {
  const seen = new Map<string, number>()
  ids.forEach((id, i) => {
    if (id === undefined) return
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
