/** A recipe in words, and what changes from one revision to another. */
import { describe, expect, it } from 'vitest'
import { WaxRecipe } from '../../shared/contract/index.ts'
import { recipeChanges, recipeLines } from '../../shared/words/index.ts'
import { plainRecipe } from '../../shared/words/recipe-draft.ts'

const celsius = { unit: 'C', timeZone: 'UTC', nameOf: (id: string) => id } as const
const fahrenheit = { ...celsius, unit: 'F' } as const
const before = WaxRecipe.parse({
  kind: 'wax',
  id: 'w',
  name: 'Wax',
  conditioning: { window: { fromC: 108, toC: 116 }, holdMinutes: 30, stirred: true },
  coats: [
    { id: 'one', name: 'Detail', window: { fromC: 104, toC: 110 } },
    { id: 'two', name: 'Second', window: { fromC: 93, toC: 97 }, wait: { earliestMinutes: 2, latestMinutes: 20 } },
    { id: 'three', name: 'Third', window: { fromC: 84, toC: 88 }, texturedOnly: true },
    { id: 'slush', name: 'Slush', window: { fromC: 74, toC: 78 }, slush: true },
  ],
  floorC: 72,
  ceilingC: 150,
})

describe('a recipe in words', () => {
  it('says every line in the unit of whoever reads it', () => {
    expect(recipeLines(before, celsius).map((l) => `${l.name}: ${l.says}`)).toEqual([
      'Conditioned: 108–116 °C for 30 min, and stirred',
      'Detail: coat 1: 104–110 °C',
      'Second: coat 2: 93–97 °C, 2 min to 20 min after the one before',
      'Third: coat 3: 84–88 °C, only on a textured mould',
      'Slush: coat 4: 74–78 °C, slushed',
      'Floor: 72 °C: below it this wax sets up',
      'Ceiling: 150 °C, by its safety data sheet',
    ])
    expect(recipeLines(before, fahrenheit).at(-1)?.says).toBe('302 °F, by its safety data sheet')
  })

  it('tells what another revision changes, adds and takes away, and nothing of what stays', () => {
    const [one, two, three, slush] = before.coats
    if (!one || !two || !three || !slush) throw new Error('Four coats were written above.')
    const after = WaxRecipe.parse({
      ...before,
      name: 'Winter wax',
      coats: [one, { ...two, window: { fromC: 92, toC: 96 } }, { ...slush, name: 'Slush pour' }],
      ceilingC: undefined,
      congealing: { fromC: 57, toC: 66 },
    })
    expect(recipeChanges(before, after, celsius)).toEqual([
      'It is called Winter wax; it was Wax.',
      'Second: coat 2: 93–97 °C, 2 min to 20 min after the one before becomes coat 2: 92–96 °C, 2 min to 20 min after the one before.',
      'Slush pour (was Slush): coat 4: 74–78 °C, slushed becomes coat 3: 74–78 °C, slushed.',
      'New: Congeals, 57–66 °C.',
      'Gone: Third, coat 3: 84–88 °C, only on a textured mould.',
      'Gone: Ceiling, 150 °C, by its safety data sheet.',
    ])
    expect(recipeChanges(before, before, celsius)).toEqual([])
  })

  it('takes a tolerance for what it is, a difference, and every temperature in either unit', () => {
    const { recipe, complaints } = plainRecipe({
      startC: '68 °F',
      segments: [{ toC: '212 F = 100 C', toleranceC: 15 }],
      noteC: 5,
    })
    expect(complaints).toEqual([])
    expect(recipe).toEqual({ startC: 20, segments: [{ toC: 100, toleranceC: 15 }], noteC: 5 })
    expect(plainRecipe({ floorC: 'warm' }).complaints).toMatchObject([{ path: 'floorC' }])
    expect(plainRecipe({ floorC: '' }).complaints).toMatchObject([
      { path: 'floorC', sentence: 'floorC: needs a temperature.' },
    ])
  })
})
