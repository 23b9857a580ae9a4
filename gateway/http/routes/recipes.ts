/** Recipes: read, written as a new revision, put right as long as no run has used them. The foundry document stays the one truth. */
import { z } from 'zod'
import { type Complaint, Fault, type Foundry, type Recipe } from '../../../shared/contract/index.ts'
import { plainRecipe } from '../../../shared/words/recipe-draft.ts'
import type { Rooms } from '../rooms.ts'
import type { Api } from './api.ts'

const tags = ['recipes']
const Id = z.object({ id: z.string().max(200) })
const Body = z
  .unknown()
  .describe(
    'A recipe without `revision`. A temperature may be a number in °C, a text in either unit, or `{celsius, fahrenheit}`.',
  )

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value)

/** The draft with its temperatures in °C; throws one sentence for each that says nothing, or two things at once. */
function read(draft: unknown): Record<string, unknown> {
  const { recipe, complaints } = plainRecipe(draft)
  if (!isObject(recipe))
    throw new Fault('bad-request', 'The recipe must be a JSON object with `kind`, `id` and `name`.')
  if (complaints.length > 0) throw new Fault('not-valid', complaints[0]?.sentence, complaints)
  return recipe
}

/** Complaints about the document, as complaints about the recipe alone. */
function ofRecipe(error: unknown, index: number): unknown {
  if (!(error instanceof Fault) || !error.complaints) return error
  const mine = `recipes[${index}]`
  const complaints = error.complaints.map(({ path, sentence }): Complaint => {
    const short = (text: string) => text.replace(`${mine}.`, '').replace(mine, 'The recipe')
    return { path: path.replace(`${mine}.`, ''), sentence: short(sentence) }
  })
  return new Fault(error.code, complaints[0]?.sentence, complaints)
}

export function recipeRoutes(api: Api, rooms: Rooms): void {
  const all = () => rooms.foreman.house.rules.foundry.recipes
  const shown = (recipe: Recipe) => ({ ...recipe, used: rooms.foreman.ledger.uses(recipe.id, recipe.revision) })
  const revisionsOf = (id: string) => all().filter((r) => r.id === id)

  /** Writes the recipe in its place in the document, or at its end. */
  async function write(place: (now: Foundry) => { at: number; recipe: Record<string, unknown> }): Promise<Recipe> {
    let at = -1
    try {
      const { foundry } = await rooms.answer.setUp((now) => {
        const { at: index, recipe } = place(now)
        at = index
        const recipes: unknown[] = [...now.recipes]
        recipes[index] = recipe
        return { ...now, recipes }
      })
      return foundry.recipes[at] as Recipe
    } catch (error) {
      throw ofRecipe(error, at)
    }
  }

  api.get('/api/v1/recipes', { schema: { tags, summary: 'Recipes, every revision, the newest first' } }, async () => ({
    items: all()
      .map(shown)
      .sort((a, b) => a.id.localeCompare(b.id) || b.revision - a.revision),
  }))

  api.get(
    '/api/v1/recipes/:id',
    { schema: { tags, summary: 'Every revision of one recipe, the newest first', params: Id } },
    async ({ params: { id } }) => {
      const items = revisionsOf(id)
        .map(shown)
        .sort((a, b) => b.revision - a.revision)
      if (items.length === 0) throw new Fault('not-found', `There is no recipe "${id}".`)
      return { items }
    },
  )

  api.post(
    '/api/v1/recipes',
    { schema: { tags, summary: 'A new recipe, or the next revision of one that is there', body: Body } },
    async ({ body }, reply) => {
      const draft = read(body)
      const recipe = await write((now) => {
        const mine = now.recipes.filter((r) => r.id === draft['id'])
        const other = mine.find((r) => r.kind !== draft['kind'])
        if (other) throw new Fault('name-taken', `"${other.id}" is a ${other.kind} recipe; give this one another id.`)
        const revision = mine.reduce((most, r) => Math.max(most, r.revision), 0) + 1
        return { at: now.recipes.length, recipe: { ...draft, revision } }
      })
      return reply.code(201).send(shown(recipe))
    },
  )

  api.put(
    '/api/v1/recipes/:id/:revision',
    {
      schema: {
        tags,
        summary: 'Puts a revision right that no run has used yet',
        params: Id.extend({ revision: z.coerce.number().int().min(1) }),
        body: Body,
      },
    },
    async ({ params: { id, revision }, body }) => {
      const draft = read(body)
      const recipe = await write((now) => {
        const at = now.recipes.findIndex((r) => r.id === id && r.revision === revision)
        if (at < 0) throw new Fault('not-found', `There is no recipe "${id}" revision ${revision}.`)
        if (rooms.foreman.ledger.uses(id, revision)) throw new Fault('used-revision')
        return { at, recipe: { ...draft, id, revision } }
      })
      return shown(recipe)
    },
  )
}
