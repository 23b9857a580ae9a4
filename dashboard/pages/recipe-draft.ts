/** A wax recipe while it is written: every field as text, what it means, and what is wrong with it. Pure. */
import { type Recipe, WaxRecipe } from '../../shared/contract/index.ts'
import { temperatureTyped } from '../../shared/words/index.ts'
import { freeId } from './ids.ts'

type Unit = 'C' | 'F'

export interface SpanDraft {
  from: string
  to: string
}

export interface CoatDraft extends SpanDraft {
  /** The id it had; empty for a new one. */
  id: string
  name: string
  earliest: string
  latest: string
  texturedOnly: boolean
  slush: boolean
}

export interface WaxDraft {
  name: string
  note: string
  conditioning: SpanDraft & { minutes: string; stirred: boolean }
  coats: CoatDraft[]
  floor: string
  ceiling: string
  congealing: SpanDraft
  mould: SpanDraft
  ambient: SpanDraft
}

const noSpan = (): SpanDraft => ({ from: '', to: '' })

/** Nothing but questions: no house's numbers are another's. */
export const emptyCoat = (): CoatDraft => ({
  id: '',
  name: '',
  ...noSpan(),
  earliest: '',
  latest: '',
  texturedOnly: false,
  slush: false,
})
export const emptyDraft = (): WaxDraft => ({
  name: '',
  note: '',
  conditioning: { ...noSpan(), minutes: '', stirred: false },
  coats: [emptyCoat()],
  floor: '',
  ceiling: '',
  congealing: noSpan(),
  mould: noSpan(),
  ambient: noSpan(),
})

/** A temperature as the field shows it before anybody types: exact to a tenth, or as exact as it is. */
export function fieldText(celsius: number | undefined, unit: Unit): string {
  if (celsius === undefined) return ''
  const value = unit === 'F' ? (celsius * 9) / 5 + 32 : celsius
  return `${Math.round(value * 1e4) / 1e4} °${unit}`
}

const minutesText = (value: number | undefined) => (value === undefined ? '' : String(value))

export function draftOf(recipe: WaxRecipe, unit: Unit): WaxDraft {
  const span = (window: { fromC: number; toC: number } | undefined): SpanDraft => ({
    from: fieldText(window?.fromC, unit),
    to: fieldText(window?.toC, unit),
  })
  return {
    name: recipe.name,
    note: recipe.note ?? '',
    conditioning: {
      ...span(recipe.conditioning?.window),
      minutes: minutesText(recipe.conditioning?.holdMinutes),
      stirred: recipe.conditioning?.stirred ?? false,
    },
    coats: recipe.coats.map((coat) => ({
      id: coat.id,
      name: coat.name,
      ...span(coat.window),
      earliest: minutesText(coat.wait?.earliestMinutes),
      latest: minutesText(coat.wait?.latestMinutes),
      texturedOnly: coat.texturedOnly ?? false,
      slush: coat.slush ?? false,
    })),
    floor: fieldText(recipe.floorC, unit),
    ceiling: fieldText(recipe.ceilingC, unit),
    congealing: span(recipe.congealing),
    mould: span(recipe.mould),
    ambient: span(recipe.ambient),
  }
}

export interface Read {
  /** Null while something is wrong or missing. */
  recipe: WaxRecipe | null
  /** By field: `coats.1.to`, `floor`, `conditioning.from` … */
  problems: Record<string, string>
}

/** The schema's paths, as the fields of the page are called. */
const fieldOfPath: Readonly<Record<string, string>> = {
  floorC: 'floor',
  ceilingC: 'ceiling',
  'window.fromC': 'from',
  'window.toC': 'to',
  window: 'to',
  'wait.earliestMinutes': 'earliest',
  'wait.latestMinutes': 'latest',
  wait: 'latest',
}

function fieldOf(path: readonly PropertyKey[]): string {
  const [first = '', second, ...rest] = path.map(String)
  if (first === 'coats' && second !== undefined) {
    const inner = rest.join('.')
    return `coats.${second}.${fieldOfPath[inner] ?? inner}`
  }
  if (first === 'conditioning') return second === 'holdMinutes' ? 'conditioning.minutes' : 'conditioning.to'
  if (first === 'congealing' || first === 'mould' || first === 'ambient') return `${first}.to`
  return fieldOfPath[first] ?? first
}

class Reader {
  readonly problems: Record<string, string> = {}
  readonly #unit: Unit

  constructor(unit: Unit) {
    this.#unit = unit
  }

  wrong(field: string, sentence: string): undefined {
    this.problems[field] ??= sentence
    return undefined
  }

  temperature(field: string, text: string): number | undefined {
    if (text.trim() === '') return undefined
    const typed = temperatureTyped(text, this.#unit)
    return typed.celsius === null ? this.wrong(field, typed.says) : typed.celsius
  }

  number(field: string, text: string): number | undefined {
    if (text.trim() === '') return undefined
    const value = Number(text.trim().replace(',', '.'))
    return Number.isFinite(value) && value >= 0 ? value : this.wrong(field, `“${text.trim()}” is no number of minutes.`)
  }

  /** Both ends or neither. */
  span(field: string, draft: SpanDraft): { fromC: number; toC: number } | undefined {
    const fromC = this.temperature(`${field}.from`, draft.from)
    const toC = this.temperature(`${field}.to`, draft.to)
    if (fromC === undefined && toC === undefined) return undefined
    if (fromC === undefined)
      return draft.from.trim() === '' ? this.wrong(`${field}.from`, 'From which temperature?') : undefined
    if (toC === undefined)
      return draft.to.trim() === '' ? this.wrong(`${field}.to`, 'Up to which temperature?') : undefined
    return fromC < toC ? { fromC, toC } : this.wrong(`${field}.to`, 'The upper end must be hotter than the lower one.')
  }
}

function coatsRead(reader: Reader, drafts: readonly CoatDraft[]): unknown[] {
  const taken = new Set<string>()
  return drafts.map((draft, i) => {
    const at = `coats.${i}`
    if (draft.name.trim() === '') reader.wrong(`${at}.name`, 'What is this coat called?')
    const window = reader.span(at, draft)
    if (!window && draft.from.trim() === '' && draft.to.trim() === '')
      reader.wrong(`${at}.from`, 'In which window may it go on?')
    const id = draft.id !== '' && !taken.has(draft.id) ? draft.id : freeId(draft.name, taken, 'coat')
    taken.add(id)
    const earliestMinutes = reader.number(`${at}.earliest`, draft.earliest)
    const latestMinutes = reader.number(`${at}.latest`, draft.latest)
    const wait = {
      ...(earliestMinutes === undefined ? {} : { earliestMinutes }),
      ...(latestMinutes === undefined ? {} : { latestMinutes }),
    }
    return {
      id,
      name: draft.name.trim(),
      window,
      ...(draft.texturedOnly ? { texturedOnly: true } : {}),
      ...(draft.slush ? { slush: true } : {}),
      ...(Object.keys(wait).length > 0 ? { wait } : {}),
    }
  })
}

function conditioningRead(reader: Reader, draft: WaxDraft['conditioning']): unknown {
  const window = reader.span('conditioning', draft)
  const holdMinutes = reader.number('conditioning.minutes', draft.minutes)
  const isAsked = window !== undefined || holdMinutes !== undefined || draft.stirred
  if (!isAsked) return undefined
  if (window === undefined) return reader.wrong('conditioning.from', 'Held within which temperatures?')
  if (holdMinutes === undefined) return reader.wrong('conditioning.minutes', 'Held for how many minutes?')
  return { window, holdMinutes, ...(draft.stirred ? { stirred: true } : {}) }
}

/** `id`: of the recipe that is revised; a new one takes its id from its name. */
export function readDraft(draft: WaxDraft, unit: Unit, id: string | null, taken: ReadonlySet<string>): Read {
  const reader = new Reader(unit)
  if (draft.name.trim() === '') reader.wrong('name', 'What is this wax called?')
  const written = {
    kind: 'wax',
    id: id ?? freeId(draft.name, taken, 'wax'),
    name: draft.name.trim(),
    revision: 1,
    note: draft.note.trim() === '' ? undefined : draft.note.trim(),
    conditioning: conditioningRead(reader, draft.conditioning),
    coats: coatsRead(reader, draft.coats),
    congealing: reader.span('congealing', draft.congealing),
    mould: reader.span('mould', draft.mould),
    ambient: reader.span('ambient', draft.ambient),
    floorC: reader.temperature('floor', draft.floor),
    ceilingC: reader.temperature('ceiling', draft.ceiling),
  }
  const parsed = WaxRecipe.safeParse(JSON.parse(JSON.stringify(written)))
  // What a field has no value for is asked above, in words.
  for (const issue of parsed.error?.issues ?? [])
    if (issue.code === 'custom')
      reader.wrong(fieldOf(issue.path), `${issue.message.charAt(0).toUpperCase()}${issue.message.slice(1)}.`)
  const isWhole = parsed.success && Object.keys(reader.problems).length === 0
  return { recipe: isWhole ? parsed.data : null, problems: reader.problems }
}

/** The newest revision of each recipe, in the order in which they first stand. */
export function newestOf(recipes: readonly Recipe[]): Recipe[] {
  const newest = new Map<string, Recipe>()
  for (const recipe of recipes) {
    const before = newest.get(recipe.id)
    if (!before || before.revision < recipe.revision) newest.set(recipe.id, recipe)
  }
  return [...newest.values()]
}
