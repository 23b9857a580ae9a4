/** A changed foundry document: what goes on is carried over, what is gone is ended, and nothing is left hanging. */
import { describe, expect, it } from 'vitest'
import { onePot, type Setting, Tale } from './tale.ts'

const p = 'p.temperature'
const ceiling = { kind: 'ceiling', aboveC: 150 }
const window = { kind: 'window', to: 100 }

function two(instruments: Record<string, unknown>[], limits: Record<string, unknown>[] = [ceiling]): Setting {
  return {
    stations: [
      { id: 'P', name: 'Pot', kind: 'pot', limits },
      { id: 'Q', name: 'Second pot', kind: 'pot', limits: [{ kind: 'ceiling', aboveC: 120 }] },
    ] as unknown as Setting['stations'],
    instruments: instruments.map((i) => ({ kind: 'thermocouple', name: 'Probe', intervalS: 10, ...i })),
  }
}

describe('an edit elsewhere', () => {
  it('takes nothing from what stands or waits: findings, delays, alarms, rates', () => {
    const limits = [ceiling, window, { kind: 'rise', cPerMinuteMax: 4 }]
    const edited = new Tale(onePot(limits))
    const untouched = new Tale(onePot(limits))
    for (const tale of [edited, untouched]) tale.readsOn(p, 0, 50, 10, (s) => 96 + s / 5)
    edited.setUp(
      {
        ...onePot(limits, { name: 'Another name' }),
        stations: [
          { id: 'P', name: 'Renamed', kind: 'pot', limits },
          { id: 'N', name: 'New', kind: 'kiln' },
        ] as unknown as Setting['stations'],
      },
      51,
    )
    for (const tale of [edited, untouched]) tale.readsOn(p, 60, 120, 10, (s) => 96 + s / 5)
    expect(untouched.told('outside-window')).toHaveLength(1)
    expect(untouched.told('rising-too-fast')).toHaveLength(1)
    for (const kind of ['outside-window', 'rising-too-fast'] as const)
      expect(edited.told(kind)).toEqual(untouched.told(kind))
  })
})

describe('a changed limit', () => {
  it('ends what the old one had found; the next reading is held against the new one', () => {
    const tale = new Tale(onePot([ceiling]))
    tale.reads(p, 0, 151)
    tale.setUp(onePot([{ kind: 'ceiling', aboveC: 140 }]), 5)
    expect(tale.told('above-ceiling')).toEqual([{ since: 0, raised: 0, cleared: 5 }])
    expect(tale.alarms()).toEqual(['above-ceiling returned-unacknowledged'])
    tale.reads(p, 10, 151)
    expect(tale.alarm()).toMatchObject({ state: 'unacknowledged', times: 2, finding: { facts: { ceilingC: 140 } } })
  })

  it('that was acknowledged and is now gone leaves no alarm', () => {
    const tale = new Tale(onePot([ceiling]))
    tale.reads(p, 0, 151)
    tale.acknowledges(tale.alarm().id, 1)
    tale.setUp(onePot([]), 5)
    expect(tale.alarms()).toEqual([])
    expect(tale.standing()).toEqual([])
  })

  it('makes no climb out of a new correction', () => {
    const rise = [{ kind: 'rise', cPerMinuteMax: 4 }]
    const tale = new Tale(onePot(rise))
    tale.readsOn(p, 0, 120, 10, () => 90)
    tale.setUp(onePot(rise, { correction: [{ readsC: 90, isC: 99 }] }), 121)
    tale.readsOn(p, 130, 300, 10, () => 90)
    expect(tale.told('rising-too-fast')).toEqual([])
  })

  it('that is gone takes with it that somebody missed its series', () => {
    const damp = { kind: 'window', quantity: 'humidity', to: 60 }
    const room = (limits: Record<string, unknown>[]): Setting => ({
      stations: [{ id: 'R', name: 'Room', kind: 'dry-room', leading: 'a', limits }] as unknown as Setting['stations'],
      instruments: ['a', 'b'].map((id) => ({ id, name: id, kind: 'climate', station: 'R', intervalS: 10 })),
    })
    const tale = new Tale(room([{ ...damp, instrument: 'b' }]))
    for (const series of ['a.temperature', 'a.humidity', 'b.temperature']) tale.readsOn(series, 5, 25, 10, () => 22)
    tale.tick(30)
    expect(tale.standing()).toEqual(['instrument-fault b.humidity'])
    tale.setUp(room([]), 31)
    expect(tale.standing()).toEqual([])
  })
})

describe('an instrument that is moved to another station', () => {
  it('begins there anew, and leaves nothing standing behind', () => {
    const tale = new Tale(two([{ id: 'p', station: 'P' }]))
    tale.reads(p, 0, 151)
    tale.setUp(two([{ id: 'p', station: 'Q' }]), 5)
    expect(tale.standing()).toEqual([])
    expect(tale.alarms()).toEqual(['above-ceiling returned-unacknowledged'])
    tale.acknowledges(tale.alarm().id, 6)
    expect(tale.alarms()).toEqual([])
    tale.reads(p, 10, 125)
    expect(tale.alarm()).toMatchObject({ station: 'Q', state: 'unacknowledged' })
  })
})

describe('a station that is taken out', () => {
  it('takes its alarms along, but a fire-class one only once it is acknowledged', () => {
    const tale = new Tale(two([{ id: 'p', station: 'P' }]))
    tale.reads(p, 0, 151)
    tale.tick(30)
    const { stations } = two([])
    tale.setUp({ stations: [stations[1] as Setting['stations'][number]], instruments: [] }, 40)
    expect(tale.alarms()).toEqual(['above-ceiling returned-unacknowledged'])
    for (const { id } of tale.house.alarms) tale.acknowledges(id, 41)
    expect(tale.alarms()).toEqual([])
    tale.reads(p, 50, 200)
    expect(tale.alarms()).toEqual([])
  })
})

describe('an open run', () => {
  const recipes = [
    { kind: 'wax', id: 'w', name: 'w', coats: [{ id: 'c', name: 'c', window: { fromC: 90, toC: 100 } }] },
  ] as unknown as NonNullable<Setting['recipes']>

  it('goes on through an edit', () => {
    const tale = new Tale({ ...onePot([]), recipes })
    tale.starts('r', 0, { kind: 'coating', station: 'P', recipe: 'w' })
    tale.reads(p, 1, 95)
    tale.marks('r', 2, 'c')
    tale.setUp({ ...onePot([ceiling]), recipes }, 3)
    expect(tale.progress('r', 'coating')).toMatchObject({ temperatureC: 95, done: [{ coat: 'c' }] })
  })
})
