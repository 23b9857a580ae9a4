/** An instrument that speaks its own JSON is read as its mapping tells it, and every fault says where it is. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { guessMapping } from '../../gateway/intake/formats/index.ts'
import { MappedReader } from '../../gateway/intake/formats/mapped.ts'
import { at, pointerOf, stepsOf } from '../../gateway/intake/formats/pointer.ts'
import { matched } from '../../gateway/intake/formats/topics.ts'
import { type Decoded, Mapping } from '../../shared/contract/index.ts'
import { bytesOf } from './senml.ts'

const plain = { topic: 'plant/+/oven', instrument: 'oven-{1}', values: [{ pointer: '/t', unit: 'celsius' }] }

function reader(mapping: object): MappedReader {
  return new MappedReader(Mapping.parse({ ...plain, ...mapping }))
}
function read(mapping: object, json: unknown, topic = 'plant/3/oven'): Decoded {
  const payload = bytesOf(typeof json === 'string' ? json : JSON.stringify(json))
  const [first] = reader(mapping).read(topic, topic.split('/'), payload)?.decoded ?? []
  if (!first) throw new Error('nothing was read')
  return first
}
function values(mapping: object, json: unknown): unknown[] {
  const decoded = read(mapping, json)
  if (decoded.is !== 'readings') throw new Error(JSON.stringify(decoded))
  return decoded.moments.map(({ at: when, values: all }) => [
    when,
    ...all.map(({ quantity, value, quality, reason }) => [quantity, value, quality, ...(reason ? [reason] : [])]),
  ])
}
function fault(mapping: object, json: unknown, topic?: string): string {
  const decoded = read(mapping, json, topic)
  return decoded.is === 'unreadable' ? decoded.reason : ''
}

describe('a pointer finds what RFC 6901 says', () => {
  // RFC 6901, section 5.
  const document = {
    foo: ['bar', 'baz'],
    '': 0,
    'a/b': 1,
    'c%d': 2,
    'e^f': 3,
    'g|h': 4,
    'i\\j': 5,
    'k"l': 6,
    ' ': 7,
    'm~n': 8,
  }
  it.each<[string, unknown]>([
    ['', document],
    ['/foo', ['bar', 'baz']],
    ['/foo/0', 'bar'],
    ['/', 0],
    ['/a~1b', 1],
    ['/c%d', 2],
    ['/e^f', 3],
    ['/g|h', 4],
    ['/i\\j', 5],
    ['/k"l', 6],
    ['/ ', 7],
    ['/m~0n', 8],
  ])('"%s"', (pointer, expected) => {
    expect(at(document, stepsOf(pointer))).toEqual(expected)
    expect(pointerOf(stepsOf(pointer))).toBe(pointer)
  })

  it('and nothing where nothing stands: no element after the last, no leading zero, nothing inherited', () => {
    for (const pointer of [
      '/foo/2',
      '/foo/-',
      '/foo/00',
      '/foo/1e0',
      '/foo/length',
      '/toString',
      '/foo/0/0',
      '/x/y',
      '/__proto__',
    ])
      expect(at(document, stepsOf(pointer)), pointer).toBeUndefined()
    expect(at({ '~1': 'tilde one' }, stepsOf('/~01'))).toBe('tilde one')
  })

  it('for every key that there can be', () => {
    fc.assert(
      fc.property(fc.array(fc.string(), { maxLength: 5 }), fc.integer(), (steps, value) => {
        const json = steps.reduceRight<unknown>((inner, step) => Object.fromEntries([[step, inner]]), value)
        expect(stepsOf(pointerOf(steps))).toEqual(steps)
        expect(at(json, steps)).toBe(value)
      }),
    )
  })
})

describe('a topic filter covers what MQTT says', () => {
  // MQTT 3.1.1, 4.7.1.2, 4.7.1.3 and 4.7.2, from the examples there.
  it.each<[string, string, string[] | null]>([
    ['sport/tennis/player1/#', 'sport/tennis/player1', []],
    ['sport/tennis/player1/#', 'sport/tennis/player1/score/wimbledon', []],
    ['sport/#', 'sport', []],
    ['sport/tennis/+', 'sport/tennis/player1', ['player1']],
    ['sport/tennis/+', 'sport/tennis/player1/ranking', null],
    ['sport/+', 'sport', null],
    ['sport/+', 'sport/', ['']],
    ['+/+', '/finance', ['', 'finance']],
    ['/+', '/finance', ['finance']],
    ['+', '/finance', null],
    ['#', '$SYS/monitor', null],
    ['+/monitor/Clients', '$SYS/monitor/Clients', null],
    ['$SYS/#', '$SYS/monitor', []],
    ['$SYS/monitor/+', '$SYS/monitor/Clients', ['Clients']],
    ['a/+/c/+', 'a/b/c/d', ['b', 'd']],
    ['a/b', 'A/b', null],
    ['a/b', 'a/b/', null],
  ])('%s and %s', (filter, topic, found) => {
    expect(matched(filter.split('/'), topic.split('/'))).toEqual(found)
  })
})

describe('a mapping', () => {
  it('names the instrument by what the topic says, and gives the value in the unit of the house', () => {
    expect(read({}, { t: 21.5 })).toMatchObject({ is: 'readings', instrument: 'oven-3' })
    expect(values({ values: [{ pointer: '/t', unit: 'fahrenheit' }] }, { t: 212 })).toEqual([
      [null, ['temperature', 100, 'good']],
    ])
    const all = [
      ['kelvin', 'temperature', 273.15, 0],
      ['relativeHumidity', 'humidity', 55, 55],
      ['kilometresPerHour', 'air-speed', 3.6, 1],
      ['hectopascals', 'pressure', 1_013.25, 101_325],
      ['kilopascals', 'pressure', 100, 100_000],
      ['bar', 'pressure', 1, 100_000],
      ['milliamperes', 'current', 4_000, 4],
      ['millivolts', 'emf', 1.5, 1_500],
      ['volts', 'emf', 0.001, 1_000],
      ['number', 'number', 7, 7],
      ['open', 'contact', 1, 0],
      ['closed', 'contact', 1, 1],
    ] as const
    for (const [unit, quantity, told, kept] of all)
      expect(values({ values: [{ pointer: '', unit }] }, told), unit).toEqual([[null, [quantity, kept, 'good']]])
  })

  it('takes each level for the + that matched it', () => {
    const two = { topic: '+/kiln/+', instrument: '{2}-of-{1}' }
    expect(read(two, { t: 1 }, 'hall/kiln/top')).toMatchObject({ instrument: 'top-of-hall' })
  })

  it('never makes one name of two topics', () => {
    const names = ['a b', 'a-b', 'a:b', 'a/b'.replace('/', '~'), 'ä'].map((level) => {
      const decoded = read({}, { t: 1 }, `plant/${level}/oven`)
      return decoded.is === 'readings' ? decoded.instrument : ''
    })
    expect(new Set(names).size).toBe(names.length)
    expect(names[1]).toBe('oven-a-b')
    for (const name of names) expect(name).toMatch(/^oven-[A-Za-z0-9.-]+$/)
    expect(fault({ topic: '+/oven', instrument: '{1}' }, { t: 1 }, 'site/oven')).toMatch(/no usable name/)
  })

  it('reads contacts as true and false, 1 and 0, or the words', () => {
    const contact = (unit: string, told: unknown) => values({ values: [{ pointer: '/c', unit }] }, { c: told })
    for (const told of [true, 1, 'open', 'Open'])
      expect(contact('open', told)).toEqual([[null, ['contact', 0, 'good']]])
    for (const told of [true, 1, 'closed']) expect(contact('closed', told)).toEqual([[null, ['contact', 1, 'good']]])
    expect(fault({ values: [{ pointer: '/c', unit: 'open' }] }, { c: 'ajar' })).toMatch(
      /at "\/c" no true or false: "ajar"/,
    )
  })

  it('reads a time in each form it may be told in', () => {
    const time = (as: string, told: unknown, more = {}) =>
      values({ time: { pointer: '/at', as }, ...more }, { t: 1, at: told })[0]
    const instant = Date.parse('2026-03-01T12:00:00.250Z')
    for (const told of ['2026-03-01T12:00:00.250Z', '2026-03-01T14:00:00.250+02:00', '2026-03-01 12:00:00.25Z'])
      expect(time('iso', told), told).toEqual([instant, ['temperature', 1, 'good']])
    expect(time('seconds', instant / 1_000)).toEqual([instant, ['temperature', 1, 'good']])
    expect(time('milliseconds', instant)).toEqual([instant, ['temperature', 1, 'good']])
    expect(time('seconds', String(instant / 1_000), { numbersAsText: 'point' })).toEqual([
      instant,
      ['temperature', 1, 'good'],
    ])
    for (const told of ['2026-03-01T12:00:00', '2026-02-30T12:00:00Z', '2026-13-01T12:00:00Z', 'noon', 12, null])
      expect(fault({ time: { pointer: '/at', as: 'iso' } }, { t: 1, at: told })).toMatch(
        /at "\/at" no ISO 8601 time with zone/,
      )
    for (const told of ['12', true, -1, 1e300])
      expect(fault({ time: { pointer: '/at', as: 'seconds' } }, { t: 1, at: told })).toMatch(/no seconds since 1970/)
  })

  it('takes text for a number only where it was told to, and only in that form', () => {
    const asText = (numbersAsText: string, told: unknown) => values({ numbersAsText }, { t: told })
    expect(asText('comma', '21,5')).toEqual([[null, ['temperature', 21.5, 'good']]])
    expect(asText('point', ' 21.5 ')).toEqual([[null, ['temperature', 21.5, 'good']]])
    expect(asText('comma', 21.5)).toEqual([[null, ['temperature', 21.5, 'good']]])
    expect(fault({}, { t: '21.5' })).toMatch(/at "\/t" no number: "21.5"/)
    for (const told of ['21.5', '1.021,5', '', '21,5 °C', 'NaN', '0x10'])
      expect(fault({ numbersAsText: 'comma' }, { t: told }), told).toMatch(/no number/)
    expect(fault({ numbersAsText: 'point' }, { t: '1e999' })).toMatch(/no number/)
    expect(values({ values: [{ pointer: '', unit: 'celsius' }], numbersAsText: 'comma' }, '21,5')).toHaveLength(1)
  })

  it('says bad what the instrument says is bad, and what cannot be', () => {
    const quality = { quality: { pointer: '/q', good: ['ok', 192, true] } }
    for (const q of ['ok', 192, true])
      expect(values(quality, { t: 20, q })).toEqual([[null, ['temperature', 20, 'good']]])
    for (const q of ['bad', 0, false, null])
      expect(values(quality, { t: 20, q })).toEqual([[null, ['temperature', 20, 'bad', 'said-by-instrument']]])
    expect(fault(quality, { t: 20 })).toMatch(/at "\/q" nothing, where its quality is expected/)
    expect(values({}, { t: -127 })).toEqual([[null, ['temperature', -127, 'bad', 'sensor-code']]])
    expect(values({}, { t: 5_000 })).toEqual([[null, ['temperature', 5_000, 'bad', 'implausible']]])
  })

  it('reads a backlog, each element with its own time', () => {
    const backlog = {
      list: '/rows',
      time: { pointer: '/0', as: 'seconds' },
      values: [{ pointer: '/1', unit: 'celsius' }],
    }
    expect(
      values(backlog, {
        rows: [
          [100, 1],
          [200, 2],
        ],
      }),
    ).toEqual([
      [100_000, ['temperature', 1, 'good']],
      [200_000, ['temperature', 2, 'good']],
    ])
    expect(
      fault(backlog, {
        rows: [
          [100, 1],
          [200, 'x'],
        ],
      }),
    ).toBe('The message on "plant/3/oven" has at "/rows/1/1" no number: "x".')
    expect(fault(backlog, { rows: {} })).toMatch(/at "\/rows" no list: "{}"/)
    expect(fault(backlog, {})).toMatch(/at "\/rows" no list\./)
    expect(fault({ list: '' }, [{ t: 1 }, { t: 2 }])).toMatch(
      /at its top several readings, and the mapping does not say/,
    )
    expect(values({ list: '' }, [{ t: 1 }])).toHaveLength(1)
    expect(fault(backlog, { rows: Array.from({ length: 5_001 }, (_, i) => [i, 1]) })).toMatch(
      /5001 readings; at most 5000/,
    )
  })

  it('does without what may be missing, and says where what may not is', () => {
    const two = {
      values: [
        { pointer: '/t', unit: 'celsius' },
        { pointer: '/h', unit: 'relativeHumidity', optional: true },
      ],
    }
    expect(values(two, { t: 20 })).toEqual([[null, ['temperature', 20, 'good']]])
    expect(values(two, { t: 20, h: null })).toEqual([[null, ['temperature', 20, 'good']]])
    expect(fault(two, { h: 50 })).toBe('The message on "plant/3/oven" has at "/t" nothing, where a value is expected.')
    expect(fault({}, { t: null })).toMatch(/at "\/t" null/)
    expect(fault({}, 'hello')).toMatch(/"plant\/3\/oven" is not JSON in UTF-8/)
    const none = reader({ values: [{ pointer: '/h', unit: 'relativeHumidity', optional: true }] })
    expect(none.read('plant/3/oven', ['plant', '3', 'oven'], bytesOf('{}'))).toEqual({
      decoded: [],
      leftOut: ['The message on "plant/3/oven" has none of the values of its mapping.'],
    })
  })
})

describe('a mapping that cannot be meant is refused', () => {
  it.each<[object, RegExp]>([
    [{ topic: 'a/#/b' }, /whole levels/],
    [{ topic: 'a/b+' }, /whole levels/],
    [{ topic: '' }, /./],
    [{ topic: 'cirewatch/+/reading' }, /without a mapping/],
    [{ topic: 'spBv1.0/#' }, /without a mapping/],
    [{ instrument: 'oven-{2}' }, /\{2\} has no \+/],
    [{ instrument: 'oven {1}' }, /may hold letters/],
    [{ values: [] }, /./],
    [{ values: [{ pointer: 't', unit: 'celsius' }] }, /JSON pointer/],
    [{ values: [{ pointer: '/~2', unit: 'celsius' }] }, /JSON pointer/],
    [{ values: [{ pointer: '/t', unit: 'degrees' }] }, /./],
    [
      {
        values: [
          { pointer: '/a', unit: 'celsius' },
          { pointer: '/b', unit: 'kelvin' },
        ],
      },
      /temperature twice/,
    ],
    [{ colour: 'red' }, /colour/],
    [{ time: { pointer: '/at', as: 'minutes' } }, /./],
  ])('%j', (change, complaint) => {
    const parsed = Mapping.safeParse({ ...plain, ...change })
    expect(parsed.success).toBe(false)
    expect(parsed.error?.issues.map(({ message }) => message).join(' ')).toMatch(complaint)
  })
})

describe('a guess at what nobody has claimed', () => {
  const guess = (topic: string, json: unknown) =>
    guessMapping(topic, bytesOf(typeof json === 'string' ? json : JSON.stringify(json)))

  it('finds a climate probe with its time, and leaves out what the device tells of itself', () => {
    const [first, ...others] = guess('zigbee/dry room', {
      battery: 87,
      humidity: 51.2,
      linkquality: 120,
      temperature: 22.4,
      ts: 1_795_000_000,
    })
    expect(first?.mapping).toEqual({
      topic: 'zigbee/dry room',
      instrument: expect.stringMatching(/^zigbee:dry-room-[0-9a-f]{8}$/) as string,
      values: [
        { pointer: '/humidity', unit: 'relativeHumidity' },
        { pointer: '/temperature', unit: 'celsius' },
      ],
      time: { pointer: '/ts', as: 'seconds' },
    })
    expect(first?.reasons.map(({ sentence }) => sentence).join(' ')).toMatch(
      /names its unit.*22\.4 could be °C; check the unit.*counts seconds/,
    )
    expect(others).toEqual([])
  })

  it('makes an instrument of each of several probes, the surest first', () => {
    const guesses = guess('kiln/1', { probes: { t1: 710, t2_F: 1_310 }, setpoint: 720, door: true })
    expect(guesses.map(({ mapping }) => [mapping.instrument, mapping.values])).toEqual([
      [
        'kiln:1',
        [
          { pointer: '/probes/t2_F', unit: 'fahrenheit' },
          { pointer: '/door', unit: 'closed' },
        ],
      ],
      ['kiln:1:probes.t1', [{ pointer: '/probes/t1', unit: 'celsius' }]],
      ['kiln:1:setpoint', [{ pointer: '/setpoint', unit: 'number' }]],
    ])
  })

  it('reads the bare number, the number as text and the backlog', () => {
    expect(guess('room/temperature', '21.5')[0]?.mapping.values).toEqual([{ pointer: '', unit: 'celsius' }])
    expect(guess('room/temperature', '21,5')[0]?.mapping).toMatchObject({
      numbersAsText: 'comma',
      values: [{ pointer: '' }],
    })
    expect(guess('r', [{ at: '2026-01-01T00:00:00Z', temp_C: 5 }])[0]?.mapping).toMatchObject({
      list: '',
      time: { pointer: '/at', as: 'iso' },
      values: [{ pointer: '/temp_C', unit: 'celsius' }],
    })
  })

  it('is none where there is nothing to be read', () => {
    for (const json of [{ battery: 3 }, {}, 'hello', '', [], { note: 'warm' }]) expect(guess('a/b', json)).toEqual([])
    expect(guessMapping('a', Uint8Array.of(0xff, 0xfe))).toEqual([])
    for (const topic of ['$SYS/x', 'a/#', 'a/+', 'cirewatch/x/y', 'spBv1.0/g/NDATA/n', ''])
      expect(guess(topic, { temp: 1 })).toEqual([])
  })

  it('is always a mapping that holds, and that reads the very message it was made from', () => {
    const key = fc.constantFrom('temp', 'humidity', 'p1', 'at', 'door', 'x', 'rows', 'value_F', '~/', '')
    const { tree } = fc.letrec<{ tree: unknown }>((tie) => ({
      tree: fc.oneof(
        { maxDepth: 3 },
        fc.oneof(
          fc.double(),
          fc.integer(),
          fc.boolean(),
          fc.constantFrom('21,5', '3.5', 'x', '2026-01-01T00:00:00Z'),
          fc.constant(null),
        ),
        fc.dictionary(key, tie('tree'), { maxKeys: 4 }),
        fc.array(tie('tree'), { maxLength: 1 }),
      ),
    }))
    let guessed = 0
    fc.assert(
      fc.property(fc.constantFrom('a', 'hall 1/oven', '/x//y', 'ä'.repeat(60)), tree, (topic, json) => {
        const payload = bytesOf(JSON.stringify(json) ?? 'null')
        for (const { mapping, reasons } of guessMapping(topic, payload)) {
          guessed++
          expect(Mapping.parse(mapping)).toEqual(mapping)
          expect(reasons.length).toBeGreaterThanOrEqual(mapping.values.length)
          const understood = new MappedReader(mapping).read(topic, topic.split('/'), payload)
          expect(understood?.decoded.map(({ is }) => is)).toEqual(['readings'])
        }
      }),
      { numRuns: 2_000 },
    )
    expect(guessed).toBeGreaterThan(500)
  })
})
