/** What the claim form is filled in with: a guess from numbers, names and neighbours that a person can adopt with one tap. */
import { describe, expect, it } from 'vitest'
import { freeName, guessClaim, placeOf } from '../../dashboard/pages/claim-guess.ts'
import { freeId } from '../../dashboard/pages/ids.ts'
import type { Unclaimed } from '../../shared/contract/index.ts'
import { fakeFoundry } from '../helpers/fake-foundry.ts'

const nobody = { stations: [], instruments: [] }

function heard(instrument: string, lastValues: Record<string, number>, more: Partial<Unclaimed> = {}): Unclaimed {
  return { instrument, firstAt: 0, lastAt: 0, readings: 1, quantities: Object.keys(lastValues), lastValues, ...more }
}

describe('the guess for a claim', () => {
  it('knows what measures humidity, switches or sees from afar', () => {
    expect(guessClaim(heard('x', { temperature: 21, humidity: 50 }), nobody).kind).toBe('climate')
    expect(guessClaim(heard('x', { contact: 1 }), nobody).kind).toBe('contact')
    expect(guessClaim(heard('wax-gun', { temperature: 90 }), nobody).kind).toBe('infrared')
    expect(guessClaim(heard('x', { temperature: 90 }), nobody).kind).toBe('thermocouple')
    const payload = { topic: 't', payload: '{"celsius": 90, "emissivity": 0.95}', at: 0 }
    expect(guessClaim(heard('x', { temperature: 90 }, { lastPayload: payload }), nobody).kind).toBe('infrared')
  })

  it('guesses the unit of a number that came without one, and names the other where that fits as well', () => {
    const unit = (value: number, name = 'x') => guessClaim(heard(name, { number: value }), nobody).unit
    expect(unit(21.5)).toEqual({ is: 'celsius', other: null, value: 21.5 })
    expect(unit(70.7)).toEqual({ is: 'celsius', other: 'fahrenheit', value: 70.7 })
    expect(unit(70.7, 'store-air')?.is).toBe('fahrenheit')
    expect(unit(230, 'wax-pot')?.is).toBe('fahrenheit')
    expect(unit(294.6)?.is).toBe('kelvin')
    expect(unit(47, 'room-rh')?.is).toBe('percent')
    expect(unit(870)).toEqual({ is: 'celsius', other: null, value: 870 })
  })

  it('takes no power-on code for a temperature, and guesses no unit where the message named it', () => {
    expect(guessClaim(heard('x', { number: -127 }), nobody).unit).toBeNull()
    expect(guessClaim(heard('x', { temperature: 70.7 }), nobody).unit).toBeNull()
  })

  it('puts an instrument beside those whose names begin like its own', () => {
    expect(guessClaim(heard('w1-top', { temperature: 95 }), fakeFoundry)).toMatchObject({
      station: 'W1',
      place: 'wax-top',
    })
    expect(guessClaim(heard('d2-b', { temperature: 22, humidity: 45 }), fakeFoundry)).toMatchObject({
      station: 'D2',
      place: 'room-air',
    })
    expect(guessClaim(heard('my-probe', { temperature: 22 }), fakeFoundry).station).toBeNull()
  })

  it('makes a new station of the kind that its temperature is met in, under a name that is free', () => {
    const newKind = (name: string, celsius: number) =>
      guessClaim(heard(name, { temperature: celsius }), nobody).newStation
    expect(newKind('x', 21.5)).toEqual({ kind: 'surroundings', name: 'Surroundings' })
    expect(newKind('x', 95).kind).toBe('pot')
    expect(newKind('x', 640).kind).toBe('kiln')
    expect(newKind('kiln-3', 21).kind).toBe('kiln')
    const pots = [{ id: 'a', name: 'Wax pot', kind: 'pot' as const, limits: [] }]
    expect(freeName('pot', pots)).toBe('Wax pot 2')
  })

  it('takes the interval from what was heard, and ten seconds where that is too little', () => {
    const spoken = (readings: number, spanS: number) =>
      guessClaim(heard('x', { temperature: 20 }, { readings, lastAt: spanS * 1_000 }), nobody).intervalS
    expect(spoken(31, 300)).toBe(10)
    expect(spoken(61, 61.2)).toBe(1)
    expect(spoken(2, 5)).toBe(10)
  })

  it('knows a load from the air around it, and leaves open what it cannot tell', () => {
    expect(placeOf('thermocouple', 'kiln', 'k2-core')).toBe('kiln-load')
    expect(placeOf('thermocouple', 'kiln', 'k2')).toBe('kiln-air')
    expect(placeOf('infrared', 'pot', 'x')).toBe('wax-surface')
    expect(placeOf('contact', 'dry-room', 'door')).toBeNull()
  })

  it('asks for the type of a bare thermocouple', () => {
    expect(guessClaim(heard('x', { emf: 4_096, junction: 22 }), nobody)).toMatchObject({
      needsType: true,
      kind: 'thermocouple',
    })
  })
})

describe('a name for a topic', () => {
  it('is made from what a person wrote, and never taken twice', () => {
    expect(freeId('Wax room, north', new Set(), 'station')).toBe('wax-room-north')
    expect(freeId('Wax room, north', new Set(['wax-room-north']), 'station')).toBe('wax-room-north-2')
    expect(freeId('Ofen für Güsse', new Set(), 'station')).toBe('ofen-fur-gusse')
    expect(freeId('…', new Set(), 'station')).toBe('station')
  })
})
