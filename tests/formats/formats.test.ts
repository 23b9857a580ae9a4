/** One door for all formats: each topic finds its reader, and what finds none says what would help. */
import { describe, expect, it } from 'vitest'
import { Formats } from '../../gateway/intake/formats/index.ts'
import { toCbor } from '../../gateway/intake/formats/senml/cbor.ts'
import { decodePublish, Mapping, payloadBytesMax, plausible, quantities, unitOf } from '../../shared/contract/index.ts'
import { amount } from '../../shared/words/index.ts'
import { Edge } from './edge.ts'
import { bytesOf } from './senml.ts'

const now = 1_795_000_000_000
const mapping = (topic: string, instrument: string, pointer: string): Mapping =>
  Mapping.parse({ topic, instrument, values: [{ pointer, unit: 'celsius' }] })
const formats = new Formats([mapping('kiln/+', 'k-{1}', '/a'), mapping('kiln/1', 'second', '/b')])
const said = (topic: string, text: string, retained = false) => formats.understand(topic, bytesOf(text), now, retained)
const reasonOf = (topic: string, text = '{}') => {
  const [one] = said(topic, text).decoded
  return one?.is === 'unreadable' ? one.reason : ''
}

describe('a publish', () => {
  it('of our own is read as ever', () => {
    for (const [topic, text] of [
      ['cirewatch/p/reading', '{"celsius":21}'],
      ['cirewatch/p/reading', '{"hot":21}'],
      ['cirewatch/p/presence', '{"online":true}'],
      ['cirewatch/p/other', '{}'],
      ['cirewatch/p', '{}'],
    ] as const)
      expect(said(topic, text).decoded).toEqual([decodePublish(topic, bytesOf(text))])
  })

  it('of SenML is read by its topic', () => {
    expect(said('cirewatch/p/senml', '[{"n":"a","u":"Cel","v":21}]').decoded).toMatchObject([
      { is: 'readings', instrument: 'p' },
    ])
    for (const topic of [
      'cirewatch//senml',
      'cirewatch/a b/senml',
      'cirewatch/a/b/senml',
      'cirewatch/site/senml',
      'cirewatch/senml',
    ])
      expect(reasonOf(topic), topic).toMatch(/no usable instrument|not of the form/)
  })

  it('of Sparkplug is read, and answered where something is wanting', () => {
    const { topic, payload } = new Edge('g', 'n', now).data(null, [])
    expect(formats.understand(topic, payload, now, false).say?.map((one) => one.topic)).toEqual(['spBv1.0/g/NCMD/n'])
    expect(formats.elapse(now + 1_000)).toEqual({ decoded: [], say: [] })
  })

  it('of any other topic is read by every mapping that covers it', () => {
    expect(said('kiln/1', '{"a":1,"b":2}').decoded).toMatchObject([{ instrument: 'k-1' }, { instrument: 'second' }])
    expect(said('kiln/1', '{"a":1}').decoded).toMatchObject([
      { is: 'readings' },
      { is: 'unreadable', instrument: 'second' },
    ])
    expect(said('kiln/2', '{"a":1}').decoded).toHaveLength(1)
  })

  it('means the same wherever in memory it lies', () => {
    const messages = [
      ['cirewatch/p/senml', toCbor([{ n: 'a', u: 'Cel', v: 0.1, t: 1_795_000_000.5 }])],
      ['cirewatch/p/senml', bytesOf('[{"n":"a","u":"Cel","v":0.1}]')],
      [
        'spBv1.0/g/NBIRTH/n',
        new Edge('g', 'n', now).birth([{ name: 'T', type: 'Double', value: 1.5, alias: 1 }]).payload,
      ],
      ['kiln/2', bytesOf('{"a":21.5}')],
    ] as const
    for (const [topic, payload] of messages) {
      const within = Buffer.concat([Buffer.alloc(3, 0xff), payload, Buffer.alloc(9, 0xff)]).subarray(
        3,
        3 + payload.length,
      )
      const read = (bytes: Uint8Array) =>
        new Formats([mapping('kiln/+', 'k-{1}', '/a')]).understand(topic, bytes, now, false)
      expect(read(within)).toEqual(read(Uint8Array.from(payload)))
      expect(read(within).decoded).toMatchObject([{ is: 'readings' }])
    }
  })

  it('that no mapping covers is told so, with what would help', () => {
    expect(reasonOf('oven/1')).toBe(
      'No mapping covers the topic "oven/1"; say under Unclaimed what it measures, or publish on cirewatch/<instrument>/reading.',
    )
    expect(reasonOf(`${'x'.repeat(300)}\u0007`)).toMatch(/^No mapping covers the topic "x{60}…";/)
  })

  it('larger than is read is told so', () => {
    const large = new Uint8Array(payloadBytesMax + 1)
    for (const topic of ['kiln/1', 'cirewatch/p/senml', 'spBv1.0/g/NDATA/n'])
      expect(formats.understand(topic, large, now, false).decoded).toMatchObject([{ is: 'unreadable' }])
  })

  it('is read by new mappings from then on, and what a node announced is not forgotten', () => {
    const changing = new Formats([])
    const edge = new Edge('g', 'n', now)
    const take = ({ topic, payload }: ReturnType<Edge['birth']>) =>
      changing.understand(topic, payload, now, false).decoded
    take(edge.birth([{ name: 'T', type: 'Double', value: 1, alias: 1 }]))
    changing.adopt([mapping('x', 'x', '')])
    expect(changing.understand('x', bytesOf('21.5'), now, false).decoded).toMatchObject([{ instrument: 'x' }])
    expect(take(edge.data(null, [{ is: 1, type: 'Double', value: 2 }]))).toMatchObject([{ instrument: 'g:n:T' }])
  })
})

describe('a number whose unit nobody has told', () => {
  it('is a quantity of its own, without a unit, and is never shown as a temperature', () => {
    expect(quantities).toContain('number')
    expect(unitOf.number).toBe('')
    expect(plausible.number).toEqual([-1e12, 1e12])
    expect(amount('number', 21.5, { unit: 'C' })).toBe('21.5 (unit unknown)')
  })
})
