/** What a Sparkplug node says is read: its births, with names and units, and its data. */
import { describe, expect, it } from 'vitest'
import { encodeSparkplug } from '../../gateway/intake/formats/sparkplug/payload.ts'
import { isName, nameLettersMax } from '../../shared/contract/index.ts'
import { type Announced, peer } from './edge.ts'
import { asked, engUnit, now, scene, t1, t2, told } from './scene.ts'

describe('a birth', () => {
  it('names its instruments, their units and their present values', () => {
    const { edge, take } = scene()
    const understood = take(edge.birth([t1, t2, { name: 'note', type: 'String', value: 'ok', alias: 3 }]))
    expect(told(understood)).toEqual([
      'hall:kiln:T1 temperature 700 +0',
      `hall:kiln:T2 temperature ${((65.25 - 32) * 5) / 9} +0`,
    ])
    expect(understood.leftOut?.join()).toMatch(/"note" is of datatype 12, which measures nothing/)
    expect(asked(understood)).toEqual([])
  })

  it('of a device is read after that of its node', () => {
    const { edge, take } = scene()
    take(edge.birth())
    expect(told(take(edge.deviceBirth('plc 1', [{ ...t1, name: 'zone/T 1' }])))).toEqual([
      expect.stringMatching(/^hall:kiln:plc-1-[0-9a-f]{8}:zone-T-1 temperature 700 \+0$/),
    ])
  })

  it('knows a unit by its property, else by the end of the name, else not at all', () => {
    const { edge, take } = scene()
    const one = (name: string, value: number, unit?: string, alias = 0): Announced => ({
      name,
      type: 'Double',
      value,
      alias,
      ...(unit !== undefined && { properties: engUnit(unit) }),
    })
    const announced = [
      one('a', 20, '°C'),
      one('b', 50, '%RH'),
      one('Humidity', 50, '%'),
      one('valve', 50, '%'),
      one('c', 1, 'kPa'),
      one('tc1', 5, 'mV'),
      one('supply', 5, 'mV'),
      one('d', 1, 'furlongs'),
      one('T_C', 20),
      one('oilTempF', 212),
      one('deg °C', 20),
      one('Room/RH', 50),
      one('Temperature', 20),
      one('mac', 20),
    ].map((metric, i) => ({ ...metric, alias: i + 1 }))
    expect(told(take(edge.birth(announced))).map((line) => line.replace(/^hall:kiln:(.*) \+0$/, '$1'))).toEqual([
      'a temperature 20',
      'b humidity 50',
      'Humidity humidity 50',
      'valve number 50',
      'c pressure 1000',
      'tc1 emf 5000',
      'supply number 5',
      'd number 1',
      'T_C temperature 20',
      'oilTempF temperature 100',
      'deg--C temperature 20',
      'Room-RH humidity 50',
      'Temperature number 20',
      'mac number 20',
    ])
  })

  it('tells contacts, and takes what is called open the other way', () => {
    const { edge, take } = scene()
    const birth = edge.birth([
      { name: 'Door', type: 'Boolean', value: true, alias: 1 },
      { name: 'Lid Open', type: 'Boolean', value: true, alias: 2 },
    ])
    expect(told(take(birth))).toEqual(['hall:kiln:Door contact 1 +0', 'hall:kiln:Lid-Open contact 0 +0'])
  })

  it('gives names that are names, each to one metric only, and the same ones again', () => {
    const nodes: [string, string][] = [
      ['hall', 'kiln'],
      ['hall 2', 'kiln'],
      ['hall-2', 'kiln'],
      ['hall:2', 'kiln'],
      ['ä', 'ö'],
    ]
    const names = ['T 1', 'T-1', 'T/1', 'T:1', '_', `${'x'.repeat(90)}1`, `${'x'.repeat(90)}2`]
    const once = () => {
      const all: string[] = []
      for (const [group, node] of nodes) {
        const { edge, take } = scene(group, node)
        const announced = names.map((name, i): Announced => ({ name, type: 'Int32', value: i, alias: i + 1 }))
        for (const one of [...take(edge.birth(announced)).decoded, ...take(edge.deviceBirth('d', announced)).decoded])
          if (one.is === 'readings') all.push(one.instrument)
      }
      return all
    }
    const all = once()
    expect(all).toHaveLength(nodes.length * names.length * 2)
    expect(new Set(all).size).toBe(all.length)
    expect(all.every((name) => isName(name) && name.length <= nameLettersMax)).toBe(true)
    expect(all).toContain('hall:kiln:T-1')
    expect(once()).toEqual(all)
  })
})

describe('data', () => {
  it('is read by alias and by name, with the time of the metric, else of the payload', () => {
    const { edge, take, pass } = scene()
    take(edge.birth([t1, t2]))
    pass(1_000)
    expect(told(take(edge.data(null, [{ is: 1, type: 'Double', value: 701 }])))).toEqual([
      'hall:kiln:T1 temperature 701 +1000',
    ])
    expect(told(take(edge.data(null, [{ is: 'T1', type: 'Double', value: 702 }])))).toEqual([
      'hall:kiln:T1 temperature 702 +1000',
    ])
    const bare = encodeSparkplug({
      timestamp: BigInt(now + 5),
      seq: 3n,
      metrics: [{ alias: 1n, carried: { as: 'double', value: 1 } }],
    })
    expect(told(take({ topic: 'spBv1.0/hall/NDATA/kiln', payload: bare }))).toEqual(['hall:kiln:T1 temperature 1 +5'])
  })

  it('from the past is a reading with its own time', () => {
    const { edge, take, pass } = scene()
    take(edge.birth([t1]))
    pass(60_000)
    const backlog = [10_000, 20_000].map((after) => ({
      is: 1,
      type: 'Double' as const,
      value: after / 1_000,
      isHistorical: true,
      timestamp: now + after,
    }))
    expect(told(take(edge.data(null, backlog)))).toEqual([
      'hall:kiln:T1 temperature 10 +10000',
      'hall:kiln:T1 temperature 20 +20000',
    ])
  })

  it('that its sender calls null is a fault, bad or stale is bad, anything else good', () => {
    const { edge, take } = scene()
    take(edge.birth([t1]))
    expect(told(take(edge.data(null, [{ is: 1, type: 'Double', value: null, isNull: true }])))).toEqual([
      'hall:kiln:T1 fault +0',
    ])
    for (const [quality, end] of [
      [0, ' bad said-by-instrument'],
      [500, ' bad said-by-instrument'],
      [192, ''],
    ] as const) {
      const properties = { Quality: { type: 'Int32' as const, value: quality } }
      expect(told(take(edge.data(null, [{ is: 1, type: 'Double', value: 20, properties }])))).toEqual([
        `hall:kiln:T1 temperature 20${end} +0`,
      ])
    }
    expect(told(take(edge.data(null, [{ is: 1, type: 'Double', value: -127 }])))).toEqual([
      'hall:kiln:T1 temperature -127 bad sensor-code +0',
    ])
  })

  it('before any birth is kept as unreadable, and the birth is asked for, at most once in ten seconds', () => {
    const { edge, take, pass } = scene()
    edge.birth([t1])
    const first = take(edge.data(null, [{ is: 1, type: 'Double', value: 701 }]))
    expect(told(first)).toEqual(['The message came before the birth of its edge node was heard.'])
    expect(asked(first)).toEqual(['spBv1.0/hall/NCMD/kiln'])
    const command = peer.decodePayload(first.say?.[0]?.payload ?? new Uint8Array())
    expect(command.metrics?.map(({ name, type, value }) => [name, type, value])).toEqual([
      ['Node Control/Rebirth', 'Boolean', true],
    ])
    let count = 0
    for (let i = 0; i < 25; i++) {
      pass(1_000)
      count += asked(take(edge.data(null, [{ is: 1, type: 'Double', value: 701 }]))).length
    }
    expect(count).toBe(2)
    expect(told(take(edge.birth([t1])))).toEqual(['hall:kiln:T1 temperature 700 +25000'])
    expect(told(take(edge.data(null, [{ is: 1, type: 'Double', value: 702 }])))).toEqual([
      'hall:kiln:T1 temperature 702 +25000',
    ])
  })

  it('with an alias that nobody announced gives what is known and keeps the rest as unreadable', () => {
    const { edge, take } = scene()
    take(edge.birth([t1]))
    const understood = take(
      edge.data(null, [
        { is: 9, type: 'Double', value: 1 },
        { is: 1, type: 'Double', value: 701 },
      ]),
    )
    expect(told(understood)).toEqual(['hall:kiln:T1 temperature 701 +0', 'No birth has announced the alias 9.'])
    expect(asked(understood)).toHaveLength(1)
  })

  it('of a device that was not born asks for the birth of its node', () => {
    const { edge, take } = scene()
    take(edge.birth())
    const understood = take(edge.data('plc', [{ is: 1, type: 'Double', value: 1 }]))
    expect(told(understood)).toEqual(['The message came before the birth of its device "plc" was heard.'])
    expect(asked(understood)).toHaveLength(1)
  })

  it('of one device by an alias of another is not taken for it', () => {
    const { edge, take } = scene()
    take(edge.birth())
    take(edge.deviceBirth('a', [t1]))
    take(edge.deviceBirth('b', [t2]))
    expect(told(take(edge.data('b', [{ is: 1, type: 'Double', value: 1 }])))).toEqual([
      'No birth has announced the alias 1.',
    ])
  })
})
