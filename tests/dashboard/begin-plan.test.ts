/** The first minutes: the address keeps the place on the way, and what is typed becomes a document that the gateway takes. */
import { describe, expect, it } from 'vitest'
import {
  limitsWritten,
  recipeKindOf,
  recipeWritten,
  wayOf,
  wayTo,
  withLimits,
  withRecipe,
} from '../../dashboard/pages/begin-plan.ts'
import { Foundry } from '../../shared/contract/index.ts'
import { fakeFoundry } from '../helpers/fake-foundry.ts'

const none = { ceiling: '', from: '', to: '', humidityFrom: '', humidityTo: '' }
const line = { name: '', from: '', to: '', rate: '', hold: '' }

describe('the way', () => {
  it('begins with a reading and is found again where it was left', () => {
    expect(wayOf('')).toEqual({ stage: 'reading', instrument: null })
    expect(wayOf('?at=recipe')).toEqual({ stage: 'reading', instrument: null })
    expect(wayOf(wayTo('my probe', 'recipe'))).toEqual({ stage: 'recipe', instrument: 'my probe' })
    expect(wayOf('?instrument=a&at=nowhere').stage).toBe('limits')
  })
})

describe('the first limits', () => {
  it('are written from °C and °F, and the document with them is valid', () => {
    const { is } = limitsWritten({ ...none, ceiling: '302 °F', from: '55 °C = 131 °F', to: '120' }, 'C')
    expect(is).toEqual([
      { kind: 'ceiling', aboveC: 150 },
      { kind: 'window', quantity: 'temperature', from: 55, to: 120 },
    ])
    const document = withLimits(fakeFoundry, 'B1', is ?? [])
    expect(Foundry.parse(document).stations.find((one) => one.id === 'B1')?.limits).toHaveLength(2)
    expect(document.stations.find((one) => one.id === 'W1')).toBe(fakeFoundry.stations.find((one) => one.id === 'W1'))
  })

  it('are refused with the reason: a pair that disagrees, ends that are crossed, a window past its ceiling, nothing', () => {
    const no = (typed: Partial<typeof none>) => limitsWritten({ ...none, ...typed }, 'C').no
    expect(no({ ceiling: '85 °C = 180 °F' })).toContain('not one temperature')
    expect(no({ from: '100', to: '60' })).toContain('below the upper')
    expect(no({ ceiling: '100', to: '110' })).toContain('below the ceiling')
    expect(no({ humidityFrom: '60', humidityTo: '40' })).toContain('humidity')
    expect(no({ humidityFrom: 'damp' })).toContain('no number')
    expect(no({})).toContain('at least one limit')
  })

  it('may be one end only', () => {
    expect(limitsWritten({ ...none, to: '24' }, 'C').is).toEqual([{ kind: 'window', quantity: 'temperature', to: 24 }])
  })
})

describe('the first recipe', () => {
  it('is of the kind that its station follows', () => {
    expect(recipeKindOf({ kind: 'bench-cup' })).toBe('wax')
    expect(recipeKindOf({ kind: 'surroundings' })).toBeNull()
  })

  it.each([
    [
      'wax',
      [
        { ...line, name: 'Coat 1', from: '104', to: '110 °C = 230 °F' },
        { ...line, name: 'Slush', from: '74', to: '78' },
        line,
      ],
    ],
    ['drying', [{ ...line, from: '20', to: '24' }]],
    [
      'burnout',
      [
        { ...line, to: '150', rate: '40', hold: '240' },
        { ...line, to: '700 °C', rate: '60' },
      ],
    ],
  ] as const)('of kind %s is valid in the document', (kind, steps) => {
    const { is, no } = recipeWritten(kind, { name: 'First', steps }, 'C', new Set(['first']))
    expect(no).toBeNull()
    if (!is) return
    expect(is.id).toBe('first-2')
    expect(Foundry.parse(withRecipe(fakeFoundry, is)).recipes.at(-1)).toMatchObject({
      kind,
      name: 'First',
      revision: 1,
    })
  })

  it('takes a rate in °F an hour as the five ninths that it is', () => {
    const { is } = recipeWritten(
      'burnout',
      { name: 'x', steps: [{ ...line, to: '1350', rate: '300', hold: '' }] },
      'F',
      new Set(),
    )
    expect(is?.kind === 'burnout' && is.segments[0]).toMatchObject({
      kind: 'ramp',
      cPerHour: expect.closeTo(166.667, 2),
      toC: expect.closeTo(732.22, 2),
    })
  })

  it('says what is missing', () => {
    const no = (steps: (typeof line)[], name = 'x') => recipeWritten('wax', { name, steps }, 'C', new Set()).no
    expect(no([line])).toContain('at least one line')
    expect(no([{ ...line, from: '80' }])).toContain('both ends')
    expect(no([{ ...line, from: '90', to: '80' }])).toContain('the cooler one')
    expect(no([{ ...line, from: '80', to: '90' }], ' ')).toContain('needs a name')
  })
})
