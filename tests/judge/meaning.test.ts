/** What an instrument's value means is what is judged: by the calibration of its day, and by what an infrared instrument looks at. */
import { describe, expect, it } from 'vitest'
import { Instrument } from '../../shared/contract/index.ts'
import { byMeasurement, emptyHouse, meaningOf, seriesViews } from '../../shared/judge/index.ts'
import { correctInfraredC } from '../../shared/physics/infrared.ts'
import { noon, onePot, type Setting, Tale } from './tale.ts'

const p = 'p.temperature'
const ceiling = { kind: 'ceiling', aboveC: 150 }
const offset = (isC: number) => [{ readsC: 150, isC }]

function instrument(more: Record<string, unknown>): Instrument {
  return Instrument.parse({ id: 'p', name: 'Probe', kind: 'thermocouple', station: 'P', ...more })
}

/** Looks at something that mirrors a hot wall: what shows less than some 97 °C has no answer. */
const mirror = { kind: 'infrared', infrared: { emissivity: 0.6, reflectedC: 190 } }
const beforeMirror = (limits: Record<string, unknown>[], more: Record<string, unknown> = {}): Setting =>
  onePot(limits, { ...mirror, ...more })

describe('what a value means', () => {
  it('is the calibration of its day, and before the first the one without a date', () => {
    const meaning = meaningOf(
      instrument({
        correction: [{ readsC: 100, isC: 90 }],
        calibrations: [
          { at: 1_000, points: [{ readsC: 100, isC: 101 }] },
          { at: 2_000, points: [{ readsC: 100, isC: 102 }] },
        ],
      }),
      'temperature',
    )
    expect([-5, 999, 1_000, 1_999, 2_000].map((t) => meaning?.(100, t))).toEqual([90, 90, 101, 101, 102])
  })

  it('is corrected by radiance only where somebody found the true emissivity, with 23 °C mirrored unless it is said', () => {
    const wax = instrument({ kind: 'infrared', infrared: { emissivity: 0.9 } })
    const scene = { setEmissivity: 0.95, compensatedC: null, emissivity: 0.9, reflectedC: 23 }
    expect(meaningOf(wax, 'temperature')?.(65, 0)).toBe(correctInfraredC(scene, 65))
    expect(meaningOf(instrument({ kind: 'infrared', infrared: { setEmissivity: 0.97 } }), 'temperature')).toBeNull()
  })

  it('is what it says for every other quantity, and where nothing was ever checked', () => {
    expect(meaningOf(instrument({}), 'temperature')).toBeNull()
    expect(meaningOf(instrument({ kind: 'climate', correction: offset(151) }), 'humidity')).toBeNull()
    expect(meaningOf(instrument({ kind: 'climate', correction: offset(151) }), 'dew-point')).toBeNull()
  })
})

describe('a dated calibration', () => {
  it('is what a ceiling is held against from its day on', () => {
    const tale = new Tale(onePot([ceiling], { calibrations: [{ at: noon + 60_000, points: offset(152) }] }))
    tale.reads(p, 50, 149)
    expect(tale.alarms()).toEqual([])
    tale.reads(p, 60, 149)
    expect(tale.alarm().finding.facts).toEqual({ valueC: 151, ceilingC: 150 })
  })

  it('makes no climb on the day it begins', () => {
    const rise = [{ kind: 'rise', cPerMinuteMax: 4 }]
    const tale = new Tale(onePot(rise, { calibrations: [{ at: noon + 120_000, points: [{ readsC: 90, isC: 99 }] }] }))
    tale.readsOn(p, 0, 400, 10, () => 90)
    expect(tale.told('rising-too-fast')).toEqual([])
    // The same step without a calibration is one.
    const other = new Tale(onePot(rise))
    other.readsOn(p, 0, 400, 10, (s) => (s < 120 ? 90 : 99))
    expect(other.told('rising-too-fast')).not.toEqual([])
  })

  it('of the past leaves announced alarms as they are, and tells a replay what really was', () => {
    const tale = new Tale(onePot([ceiling]))
    tale.readsOn(p, 0, 60, 10, () => 151)
    tale.readsOn(p, 70, 100, 10, () => 140)
    const before = [...tale.findings.values()]
    expect(tale.told('above-ceiling')).toEqual([{ since: 0, raised: 0, cleared: 70 }])

    const corrected = onePot([ceiling], { calibrations: [{ at: noon - 1, points: offset(148) }] })
    expect(tale.setUp(corrected, 110).findings).toEqual([])
    expect([...tale.findings.values()]).toEqual(before)
    expect(tale.alarms()).toEqual(['above-ceiling returned-unacknowledged'])

    const readings = tale.journal.filter((e) => e.kind === 'reading')
    const known = new Tale(corrected).journal
    const judged = byMeasurement(emptyHouse(), [...known, ...readings], noon + 110_000)
    expect(judged.findings.filter((f) => f.kind === 'above-ceiling')).toEqual([])
    // And the other way round: what nobody was told of is found.
    const hotter = new Tale(onePot([ceiling], { calibrations: [{ at: noon - 1, points: offset(162) }] })).journal
    const found = byMeasurement(emptyHouse(), [...hotter, ...readings], noon + 110_000).findings
    expect(found.filter((f) => f.kind === 'above-ceiling')).toMatchObject([{ facts: { valueC: 163 } }])
  })
})

describe('a value that means no temperature', () => {
  it('is as unseen as a bad one: no limit hears of it, and the station shows why', () => {
    const tale = new Tale(beforeMirror([{ kind: 'window', from: 100, to: 120, onDelayS: 0 }]))
    tale.reads(p, 0, 80)
    expect(tale.standing()).toEqual([])
    expect(seriesViews(tale.house)).toEqual([
      { series: p, value: 80, quality: 'bad', measuredAt: noon, arrivedAt: noon, noAnswer: 'background-outshines' },
    ])
    tale.reads(p, 10, 300)
    expect(seriesViews(tale.house)[0]).not.toHaveProperty('noAnswer')
    expect(tale.standing()).toEqual(['outside-window p.temperature'])
  })

  it('is missed after its silence limit, and comes back with the first that means one', () => {
    const tale = new Tale(beforeMirror([{ kind: 'ceiling', aboveC: 400 }]))
    tale.reads(p, 0, 300)
    tale.readsOn(p, 10, 60, 10, () => 80)
    tale.tick(60)
    expect(tale.standing()).toEqual(['instrument-fault p.temperature'])
    expect([...tale.findings.values()].at(-1)?.facts).toMatchObject({ noAnswer: 'background-outshines' })
    tale.reads(p, 70, 300)
    expect(tale.standing()).toEqual([])
  })

  it('counts as nothing measured for an instrument that said it could not', () => {
    const tale = new Tale(beforeMirror([{ kind: 'ceiling', aboveC: 400 }]))
    tale.reads(p, 0, 300)
    tale.faults('p', 5)
    tale.reads(p, 10, 80)
    expect(tale.standing()).toEqual(['instrument-fault p'])
    tale.reads(p, 20, 300)
    expect(tale.standing()).toEqual([])
  })

  it('opens no window of a coat', () => {
    const setting = beforeMirror([])
    const recipes = [
      { kind: 'wax', id: 'wax', name: 'Wax', coats: [{ id: 'one', name: 'One', window: { fromC: 70, toC: 90 } }] },
    ] as unknown as NonNullable<Setting['recipes']>
    const tale = new Tale({ ...setting, recipes })
    tale.starts('run', 0, { kind: 'coating', station: 'P', recipe: 'wax' })
    tale.reads(p, 10, 80)
    expect(tale.progress('run', 'coating')).toMatchObject({ temperatureC: null, open: null })
  })
})
