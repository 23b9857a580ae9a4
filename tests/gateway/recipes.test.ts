/** Recipes over HTTP: written, revised, refused with a sentence, never changed once a run has used them. */
import { describe, expect, it } from 'vitest'
import type { Problem, Recipe } from '../../shared/contract/index.ts'
import { house } from './instrument-kit.ts'

type Shown = Recipe & { used: boolean }

const wax = {
  kind: 'wax',
  id: 'hard-wax',
  name: 'Hard wax',
  coats: [
    { id: 'detail', name: 'Detail', window: { fromC: '220 °F', toC: { celsius: 110, fahrenheit: 230 } } },
    { id: 'slush', name: 'Slush pour', window: { fromC: 82, toC: '85 °C' }, slush: true },
  ],
}

describe('a recipe', () => {
  it('is written with temperatures in either unit, and its next writing is its next revision', async () => {
    const g = await house()
    const first = await g.ask<Shown>('/api/v1/recipes', wax)
    expect(first.status).toBe(201)
    expect(first.body).toMatchObject({ id: 'hard-wax', revision: 1, used: false })
    const coats = first.body.kind === 'wax' ? first.body.coats : []
    // 220 °F by definition of the two scales: (220 − 32) · 5/9.
    expect(coats[0]?.window.fromC).toBeCloseTo(104.444444, 5)
    expect(coats[0]?.window.toC).toBe(110)
    const second = await g.ask<Shown>('/api/v1/recipes', { ...wax, name: 'Hard wax, winter' })
    expect(second.body).toMatchObject({ revision: 2, name: 'Hard wax, winter' })
    const { body } = await g.ask<{ items: Shown[] }>('/api/v1/recipes/hard-wax')
    expect(body.items.map((r) => r.revision)).toEqual([2, 1])
    expect((await g.ask<Problem>('/api/v1/recipes/nobody')).status).toBe(404)
  })

  it('whose two readings of one temperature disagree is refused with both, and nothing is changed', async () => {
    const g = await house()
    const coats = [{ id: 'slush', name: 'Slush', window: { fromC: 80, toC: { celsius: 85, fahrenheit: 180 } } }]
    const { status, body } = await g.ask<Problem>('/api/v1/recipes', { ...wax, coats })
    expect(status).toBe(422)
    // Common practice quotes 180 °F and 85 °C as one temperature; they are 82.2 and 185 apart.
    expect(body.errors).toEqual([
      {
        path: 'coats[0].window.toC',
        sentence:
          'coats[0].window.toC: 85 °C is 185 °F, and 180 °F is 82.2 °C. They are not one temperature: which is meant?',
      },
    ])
    expect((await g.ask<Problem>('/api/v1/recipes/hard-wax')).status).toBe(404)
  })

  it('that makes no sense is refused by its own paths: a coat hotter than the one beneath, a window below the floor', async () => {
    const g = await house()
    const coats = [
      { id: 'a', name: 'A', window: { fromC: 90, toC: 95 } },
      { id: 'b', name: 'B', window: { fromC: 93, toC: 99 } },
      { id: 'c', name: 'C', window: { fromC: 60, toC: 66 } },
    ]
    const { body } = await g.ask<Problem>('/api/v1/recipes', { ...wax, coats, floorC: 70 })
    expect(body.errors).toEqual([
      {
        path: 'coats[1].window.toC',
        sentence: 'coats[1].window.toC is hotter than the coat before it (95 °C): a hotter coat melts the one beneath.',
      },
      {
        path: 'coats[2].window.fromC',
        sentence: 'coats[2].window.fromC lies below the floor (70 °C), where this wax sets up.',
      },
    ])
    const other = await g.ask<Problem>('/api/v1/recipes', 'wax')
    expect(other.status).toBeGreaterThanOrEqual(400)
    expect(other.status).toBeLessThan(500)
  })

  it('may be put right until a run has used it; then it never changes, and a run under way keeps its revision', async () => {
    const g = await house()
    await g.ask('/api/v1/recipes', wax)
    const put = (name: string) => g.ask<Shown & Problem>('/api/v1/recipes/hard-wax/1', { ...wax, name }, 'PUT')
    expect((await put('Hardest wax')).body).toMatchObject({ revision: 1, name: 'Hardest wax' })
    const { body: run } = await g.ask<{ id: string }>('/api/v1/runs', {
      kind: 'coating',
      station: 'pot',
      recipe: 'hard-wax',
      by: 'Ana',
    })
    expect((await put('Soft wax')).body).toMatchObject({ code: 'used-revision' })
    await g.ask('/api/v1/recipes', { ...wax, name: 'Soft wax' })
    expect(
      (await g.ask<{ declaration: { revision: number } }>(`/api/v1/runs/${run.id}`)).body.declaration.revision,
    ).toBe(1)
    expect((await g.ask<{ items: Shown[] }>('/api/v1/recipes/hard-wax')).body.items).toMatchObject([
      { revision: 2, name: 'Soft wax', used: false },
      { revision: 1, name: 'Hardest wax', used: true },
    ])
    const missing = await g.ask<Problem>('/api/v1/recipes/hard-wax/9', wax, 'PUT')
    expect(missing.status).toBe(404)
    const kind = await g.ask<Problem>('/api/v1/recipes', {
      ...wax,
      kind: 'drying',
      temperature: { fromC: 20, toC: 24 },
    })
    expect(kind.body).toMatchObject({ code: 'name-taken' })
  })
})
