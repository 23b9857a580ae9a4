/** Pots: each lie of an infrared instrument and of a probe is named, and a pot that is worked in is left in peace. */
import { describe, expect, it } from 'vitest'
import type { DoubtKind } from '../../shared/contract/index.ts'
import type { ExaminedInstrument } from '../../shared/judge/examine/index.ts'
import type { Chance } from '../../simulators/random.ts'
import { infraredLies, type PotLie, probeLies, wrongTypeOf } from './lies.ts'
import { plainPotScene } from './plain-pot.ts'
import { honestInfrared, honestProbe, infrared, type PotNow, potScene, probe } from './pots.ts'
import { type Device, kindsOf, play, type Played } from './workbench.ts'

const detail = [probe('mid', 'wax-middle'), probe('bottom', 'wax-bottom'), infrared('ir')]
const build = [probe('mid', 'wax-middle'), infrared('ir')]
const tank = [probe('top', 'wax-top'), probe('bottom', 'wax-bottom')]

function honest(instrument: ExaminedInstrument, now: PotNow, chance: Chance): Device {
  return instrument.kind === 'infrared' ? honestInfrared(instrument, now, chance) : honestProbe(instrument, now, chance)
}

const models = { heat: potScene, plain: plainPotScene }

/** One instrument lies, the others are honest. */
function lived(
  model: keyof typeof models,
  instruments: readonly ExaminedInstrument[],
  seed: number,
  days: number,
  id = '',
  lie: PotLie = () => ({}),
): Played {
  const device = (i: ExaminedInstrument, now: PotNow, chance: Chance): Device =>
    i.id === id ? { ...honest(i, now, chance), ...lie(now, chance, seed) } : honest(i, now, chance)
  return play(models[model]({ seed: seed * 101 + 7, days, waxKg: 6, heaterW: 600, instruments, device }))
}

/** A lid is on, and whoever looks at it is blind: that is no accusation. */
function accusations(played: Played, but = ''): string[] {
  return played.told
    .filter((d) => d.kind !== 'blind' && d.instrument !== but)
    .map((d) => `${d.kind} of ${d.instrument}`)
}

const rows = (lies: Partial<Record<DoubtKind, PotLie>>) => Object.entries(lies) as [DoubtKind, PotLie][]
const seeds = [1, 2]
const modelSeeds = [
  ['heat', 1],
  ['plain', 2],
] as const

describe('an infrared instrument that lies', () => {
  describe.each(rows(infraredLies))('%s', (kind, lie) => {
    it.each(modelSeeds)('is named beside two probes and beside one (%s)', (model, seed) => {
      for (const instruments of [detail, build])
        expect(kindsOf(lived(model, instruments, seed, 3, 'ir', lie), 'ir')).toContain(kind)
    })
  })
})

describe('a probe that lies', () => {
  describe.each(rows(probeLies))('%s', (kind, lie) => {
    it.each(modelSeeds)('is named, and the other probe is not accused (%s)', (model, seed) => {
      const played = lived(model, detail, seed, kind === 'in-solid' ? 1 : 3, 'mid', lie)
      expect(kindsOf(played, 'mid')).toContain(kind)
      expect(kindsOf(played, 'bottom')).toEqual([])
    })
  })

  it.each(['N', 'J', 'E'] as const)('of type %s where K is set is named, beside a second probe', (type) => {
    const played = lived('heat', detail, 3, 3, 'mid', wrongTypeOf(type))
    const doubt = played.exam.doubts.find((d) => d.instrument === 'mid')
    expect(doubt?.kind).toBe('wrong-type')
    expect(doubt?.evidence.map((e) => e.what)).toContain(`left over if it were type ${type}`)
  })

  it('in layers that nobody stirs is no fault: the pot is named as not stirred', () => {
    const device = (i: ExaminedInstrument, now: PotNow, chance: Chance) => honest(i, now, chance)
    const played = play(plainPotScene({ seed: 5, days: 2, instruments: tank, device, layersC: 9, stirEveryH: 6 }))
    expect(kindsOf(played)).toEqual(['not-stirred'])
  })
})

describe('a pot that is worked in', () => {
  it.each([
    ['detail', detail],
    ['build', build],
    ['tank', tank],
  ])('%s: ten days of melting, coats, stirs, top-ups and lids accuse nobody, or one at most', (_, instruments) => {
    for (const model of ['heat', 'plain'] as const) {
      const told = seeds.flatMap((seed) => accusations(lived(model, instruments, seed, 10)))
      expect(told.length, told.join(', ')).toBeLessThanOrEqual(1)
    }
  })

  it.each([
    ['an instrument sees a quarter of the wax through its lid at once', { lidShare: 0.25 }],
    ['the pot is kept hot under its lid at night', { nightHot: true }],
    ['the skin comes and goes at once', { skinAtOnce: true }],
    ['the controller holds it without a ripple', { rippleC: 0.1 }],
  ])('is left in peace when %s', (_, variant) => {
    const played = play(plainPotScene({ seed: 20, days: 7, instruments: detail, device: honest, ...variant }))
    expect(accusations(played)).toEqual([])
    expect(kindsOf(played, 'ir')).toEqual(['blind'])
  })
})
