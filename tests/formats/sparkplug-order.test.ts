/** The life of a Sparkplug node as the house sees it: in order and out of it, dead and born again, and never more of it than can be remembered. */
import { describe, expect, it } from 'vitest'
import { SparkplugHost } from '../../gateway/intake/formats/sparkplug/host.ts'
import {
  edgeNodesMax,
  metricsPerNodeMax,
  rebirthAskMs,
  reorderMs,
} from '../../gateway/intake/formats/sparkplug/limits.ts'
import { decodeSparkplug, encodeSparkplug, type Metric } from '../../gateway/intake/formats/sparkplug/payload.ts'
import { Edge } from './edge.ts'
import { asked, engUnit, now, scene, t1, t2, told } from './scene.ts'

describe('the order of messages', () => {
  const value = (v: number) => [{ is: 1, type: 'Double' as const, value: v }]

  it('goes round after 255', () => {
    const { edge, take } = scene()
    take(edge.birth([t1]))
    for (let i = 0; i < 600; i++) {
      const understood = take(edge.data(null, value(i)))
      expect([told(understood).length, asked(understood).length]).toEqual([1, 0])
    }
  })

  it('may be changed for a moment: both are read, and nobody is asked', () => {
    const { edge, take, pass, elapse } = scene()
    take(edge.birth([t1]))
    const [first, second] = [edge.data(null, value(1)), edge.data(null, value(2))]
    expect(told(take(second))).toEqual(['hall:kiln:T1 temperature 2 +0'])
    pass(reorderMs - 1)
    expect(asked(elapse())).toEqual([])
    expect(told(take(first))).toEqual(['hall:kiln:T1 temperature 1 +0'])
    pass(60_000)
    expect(asked(elapse())).toEqual([])
  })

  it('with one missing for two seconds has the birth asked for, also if nothing more comes', () => {
    const { edge, take, pass, elapse } = scene()
    take(edge.birth([t1]))
    edge.data(null, value(1))
    expect(asked(take(edge.data(null, value(2))))).toEqual([])
    pass(reorderMs)
    expect(asked(elapse())).toEqual(['spBv1.0/hall/NCMD/kiln'])
    pass(60_000)
    expect(asked(elapse())).toEqual([])
  })

  it('with very many missing has it asked for at once', () => {
    const { edge, take } = scene()
    take(edge.birth([t1]))
    for (let i = 0; i < 40; i++) edge.data(null, value(i))
    const understood = take(edge.data(null, value(1)))
    expect(told(understood)).toHaveLength(1)
    expect(asked(understood)).toHaveLength(1)
    expect(asked(take(edge.data(null, value(2))))).toEqual([])
  })

  it('that had just been asked for is asked for again when ten seconds have passed', () => {
    const { edge, take, pass, elapse } = scene()
    take(edge.birth([t1]))
    expect(asked(take(edge.data(null, [{ is: 9, type: 'Double', value: 1 }])))).toHaveLength(1)
    edge.data(null, value(1))
    take(edge.data(null, value(2)))
    pass(reorderMs)
    expect(asked(elapse())).toEqual([])
    pass(rebirthAskMs)
    expect(asked(elapse())).toHaveLength(1)
  })

  it('does not mind a message that comes twice', () => {
    const { edge, take } = scene()
    take(edge.birth([t1]))
    const one = edge.data(null, value(1))
    take(one)
    const again = take(one)
    expect(told(again)).toEqual(['hall:kiln:T1 temperature 1 +0'])
    expect(asked(again)).toEqual([])
    expect(asked(take(edge.data(null, value(2))))).toEqual([])
  })

  it('lets data that overtook the birth of its device be read after all', () => {
    const { edge, take } = scene()
    take(edge.birth())
    const birth = edge.deviceBirth('plc', [t1])
    const early = take(edge.data('plc', value(705)))
    expect(told(early)).toEqual(['The message came before the birth of its device "plc" was heard.'])
    // The birth is one of the missing: it may be on its way.
    expect(asked(early)).toEqual([])
    expect(told(take(birth))).toEqual(['hall:kiln:plc:T1 temperature 700 +0', 'hall:kiln:plc:T1 temperature 705 +0'])
  })

  it('is not thrown out by a stray from long before: the next ones are still in order', () => {
    const { edge, take, pass, elapse } = scene()
    take(edge.birth([t1]))
    const stray = edge.data(null, value(1))
    for (let i = 0; i < 5; i++) take(edge.data(null, value(i)))
    pass(reorderMs)
    expect(asked(elapse())).toHaveLength(1)
    expect(told(take(stray))).toEqual(['hall:kiln:T1 temperature 1 +0'])
    // That stray may be asked about once more; nothing after it is.
    pass(rebirthAskMs)
    expect(asked(elapse()).length).toBeLessThanOrEqual(1)
    for (let i = 0; i < 5; i++) expect(asked(take(edge.data(null, value(i))))).toEqual([])
    pass(rebirthAskMs)
    expect(asked(elapse())).toEqual([])
  })

  it('does not let data wait for a birth that came after it: its aliases may mean something else', () => {
    const { edge, take, pass } = scene()
    take(edge.birth())
    edge.data(null, [])
    const early = edge.data('plc', value(705))
    pass(10)
    const birth = edge.deviceBirth('plc', [t1])
    expect(told(take(early))[0]).toMatch(/before the birth of its device/)
    expect(told(take(birth))).toEqual(['hall:kiln:plc:T1 temperature 700 +10'])
    const anew = scene('hall', 'pot')
    anew.edge.birth()
    const waiting = anew.edge.data(null, [{ is: 1, type: 'Double', value: 706, isHistorical: true }])
    expect(told(anew.take(waiting))[0]).toMatch(/before the birth of its edge node/)
    anew.pass(10)
    expect(told(anew.take(anew.edge.birth([t1])))).toEqual(['hall:pot:T1 temperature 700 +10'])
  })

  it('reads by no birth what was sent before the first one that was heard, unless it is a value from the past', () => {
    const { edge, take, pass } = scene()
    edge.birth([t1, t2])
    const straggler = edge.data(null, value(701))
    const waited = edge.data(null, [{ is: 1, type: 'Double', value: 702, isHistorical: true }])
    pass(10)
    take(edge.birth([t1, t2]))
    expect(told(take(straggler))).toEqual(['No birth has announced the alias 1.'])
    expect(told(take(waited))).toEqual(['hall:kiln:T1 temperature 702 +0'])
  })

  it('reads a straggler by what its alias meant when it was sent', () => {
    const { edge, take, pass } = scene()
    take(edge.birth([t1, { ...t2, properties: engUnit('°C') }]))
    pass(10)
    const straggler = edge.data(null, value(701))
    pass(10)
    take(
      edge.birth([
        { ...t1, alias: 2 },
        { ...t2, alias: 1 },
      ]),
    )
    expect(told(take(straggler))).toEqual(['hall:kiln:T1 temperature 701 +10'])
    expect(told(take(edge.data(null, [{ is: 2, type: 'Double', value: 702 }])))).toEqual([
      'hall:kiln:T1 temperature 702 +20',
    ])
  })
})

describe('a death', () => {
  it('of a node takes all its instruments offline, and its birth brings them back', () => {
    const { edge, take } = scene()
    take(edge.birth([t1]))
    take(edge.deviceBirth('plc', [t2]))
    expect(told(take(edge.death()))).toEqual(['hall:kiln:T1 offline', 'hall:kiln:plc:T2 offline'])
    expect(asked(take(edge.data(null, [{ is: 1, type: 'Double', value: 1 }])))).toHaveLength(1)
    edge.bdSeq = 1
    edge.now += 1
    expect(told(take(edge.birth([t1])))[0]).toBe('hall:kiln:T1 online')
    expect(told(take(edge.deviceBirth('plc', [t2])))[0]).toBe('hall:kiln:plc:T2 online')
  })

  it('of a device takes only its own', () => {
    const { edge, take } = scene()
    take(edge.birth([t1]))
    take(edge.deviceBirth('plc', [t2]))
    expect(told(take(edge.deviceDeath('plc')))).toEqual(['hall:kiln:plc:T2 offline'])
    expect(told(take(edge.data(null, [{ is: 1, type: 'Double', value: 1 }])))).toEqual([
      'hall:kiln:T1 temperature 1 +0',
    ])
    expect(told(take(edge.data('plc', [{ is: 2, type: 'Float', value: 1 }])))[0]).toMatch(
      /before the birth of its device/,
    )
  })

  it('of a connection before this one ends nothing', () => {
    const { edge, take } = scene()
    take(edge.birth([t1]))
    edge.bdSeq = 1
    edge.now += 1
    take(edge.birth([t1]))
    expect(take(edge.death(0))).toMatchObject({ decoded: [], leftOut: [/session that had already ended/] })
    expect(told(take(edge.data(null, [{ is: 1, type: 'Double', value: 1 }])))).toHaveLength(1)
    expect(told(take(edge.death(1)))).toEqual(['hall:kiln:T1 offline'])
  })

  it('is not undone, nor is a birth, by the same message coming twice', () => {
    const { edge, take } = scene()
    const birth = edge.birth([t1])
    const deviceBirth = edge.deviceBirth('plc', [t2])
    const deviceDeath = edge.deviceDeath('plc')
    edge.now += 1
    const again = edge.deviceBirth('plc', [t2])
    for (const one of [birth, deviceBirth, deviceDeath, again]) take(one)
    expect(told(take(deviceDeath))).toEqual([])
    expect(told(take(birth))).toEqual([])
    expect(told(take(edge.data('plc', [{ is: 2, type: 'Float', value: 50 }])))).toHaveLength(1)
    take(edge.death())
    expect(take(birth)).toMatchObject({ decoded: [], leftOut: ['The same birth came before.'] })
  })

  it('of somebody unknown is no event', () => {
    const { edge, take } = scene()
    expect(take(edge.death())).toMatchObject({ decoded: [] })
    expect(take(edge.deviceDeath('plc'))).toMatchObject({ decoded: [] })
  })
})

describe('what is not from a node', () => {
  it('is passed over: commands, and what hosts say of themselves', () => {
    const { host } = scene()
    for (const topic of ['spBv1.0/STATE/scada', 'spBv1.0/hall/NCMD/kiln', 'spBv1.0/hall/DCMD/kiln/plc'])
      expect(host.take(topic, Uint8Array.of(0x7b), now)).toEqual({ decoded: [] })
  })

  it('is passed over when it comes from a broker’s memory', () => {
    const { edge, take } = scene()
    expect(take(edge.birth([t1]), true).decoded).toEqual([])
    expect(take(edge.birth([t1]), true).leftOut?.[0]).toMatch(/memory/)
  })

  it.each([
    ['spBv1.0/hall/NBIRTH', /form spBv1\.0\/<group>\/NBIRTH\/<node>/],
    ['spBv1.0/hall/NBIRTH/kiln/plc', /form/],
    ['spBv1.0/hall/DDATA/kiln', /<node>\/<device>/],
    ['spBv1.0/hall/DDATA/kiln/plc/more', /form/],
    ['spBv1.0//NDATA/kiln', /form/],
    ['spBv1.0/hall/NOISE/kiln', /no kind of message.*"NOISE"/],
    [`spBv1.0/hall/NDATA/${'x'.repeat(129)}`, /128 letters/],
  ])('%s is unreadable, with the reason', (topic, sentence) => {
    const [one] = new SparkplugHost().take(topic, new Uint8Array(), now).decoded
    expect(one?.is === 'unreadable' && one.reason).toMatch(sentence)
  })

  it('without a number of order is unreadable', () => {
    const { take } = scene()
    for (const seq of [undefined, 256n])
      expect(
        told(take({ topic: 'spBv1.0/g/NDATA/n', payload: encodeSparkplug({ ...(seq && { seq }), metrics: [] }) })),
      ).toEqual(['The payload has no number of order (seq) from 0 to 255.'])
  })
})

describe('what is remembered has an end', () => {
  it('of nodes: the one longest dead makes room, and where all live a new one is told so', () => {
    const host = new SparkplugHost()
    for (let i = 0; i < edgeNodesMax * 3; i++)
      host.take(`spBv1.0/g/NDATA/stranger${i}`, encodeSparkplug({ seq: 0n, metrics: [] }), now + i)
    expect(host.state().nodes).toBe(edgeNodesMax)
    for (let i = 0; i < edgeNodesMax; i++) {
      const { topic, payload } = new Edge('g', `n${i}`, now).birth([t1])
      host.take(topic, payload, now + 10_000 + i)
    }
    const { topic, payload } = new Edge('g', 'one-more', now).birth([t1])
    expect(told(host.take(topic, payload, now))).toEqual(['More than 256 edge nodes are speaking; this one is new.'])
    expect(host.state()).toMatchObject({ nodes: edgeNodesMax, metrics: edgeNodesMax })
  })

  it('of metrics: of one node, and of all', () => {
    const birth = (count: number, seq: number): Uint8Array =>
      encodeSparkplug({
        timestamp: BigInt(now),
        seq: BigInt(seq),
        metrics: Array.from({ length: count }, (_, i): Metric => ({ name: `m${i}`, alias: BigInt(i), datatype: 10 })),
      })
    const host = new SparkplugHost()
    host.take('spBv1.0/g/NBIRTH/n', birth(metricsPerNodeMax - 1, 0), now)
    expect(told(host.take('spBv1.0/g/DBIRTH/n/d', birth(2, 1), now))).toEqual([
      'The edge node announces more than 5000 metrics.',
    ])
    for (let i = 0; i < 4; i++) host.take(`spBv1.0/g/NBIRTH/n${i}`, birth(metricsPerNodeMax, 0), now)
    expect(told(host.take('spBv1.0/g/NBIRTH/last', birth(2, 0), now))).toEqual([
      'All edge nodes together announce more than 25000 metrics.',
    ])
    expect(host.state().metrics).toBe(5 * metricsPerNodeMax - 1)
    const name = encodeSparkplug({ seq: 0n, metrics: [{ name: 'x'.repeat(257), datatype: 10 }] })
    expect(told(new SparkplugHost().take('spBv1.0/g/NBIRTH/n', name, now))[0]).toMatch(/more than 256 letters/)
  })

  it('of devices', () => {
    const { edge, take } = scene()
    take(edge.birth())
    const answers = Array.from({ length: 260 }, (_, i) => told(take(edge.deviceBirth(`d${i}`, [t1])))[0] ?? '')
    expect(answers.filter((line) => line.includes('more than 256 devices'))).toHaveLength(4)
  })

  it('of what waits for a birth, in number and in time', () => {
    const { host, edge, take, pass, elapse } = scene()
    take(edge.birth())
    edge.data(null, [])
    for (let i = 0; i < 500; i++) take(edge.data('plc', [{ is: 1, type: 'Double', value: i }]))
    expect(host.state().held).toBe(200)
    pass(reorderMs)
    elapse()
    expect(host.state().held).toBe(0)
  })

  it('and what we say is a payload', () => {
    const { edge, take } = scene()
    const [say] = take(edge.data(null, [])).say ?? []
    expect(decodeSparkplug(say?.payload ?? new Uint8Array())).toMatchObject({
      metrics: [{ name: 'Node Control/Rebirth' }],
    })
  })
})
