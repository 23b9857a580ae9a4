/** SenML is read as RFC 8428 says: its examples, its rules one by one, and what must be refused. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { fromBase64url, toBase64url } from '../../gateway/intake/formats/senml/base64url.ts'
import { fromCbor, toCbor } from '../../gateway/intake/formats/senml/cbor.ts'
import { fromJson, toJson } from '../../gateway/intake/formats/senml/json.ts'
import type { SenmlRecord } from '../../gateway/intake/formats/senml/record.ts'
import { resolve } from '../../gateway/intake/formats/senml/resolve.ts'
import published from '../data/senml-examples.json' with { type: 'json' }
import golden from '../data/wire-golden.json' with { type: 'json' }
import { bytesOf, bytesOfHex, hexOf, sensiblePack, writtenPack } from './senml.ts'

const now = 1_795_000_000_000

function packOf(json: unknown): SenmlRecord[] {
  const pack = fromJson(bytesOf(JSON.stringify(json)))
  if (typeof pack === 'string') throw new Error(pack)
  return pack
}
function resolved(json: unknown, nowMs = now): Record<string, unknown>[] {
  const records = resolve(packOf(json), nowMs)
  if (typeof records === 'string') throw new Error(records)
  return records as unknown as Record<string, unknown>[]
}
function refusal(text: string): string | null {
  const pack = fromJson(bytesOf(text))
  const records = typeof pack === 'string' ? pack : resolve(pack, now)
  return typeof records === 'string' ? records : null
}

const inOneOrder = (record: object) => JSON.stringify(Object.entries(record).sort())
const without = ({ bver: _, ...rest }: Record<string, unknown>) => rest

describe('every published pack of RFC 8428 and its authors', () => {
  it.each(published.examples.map((example) => [example.rfc_section, example] as const))(
    '%s resolves to its resolved form',
    (section, example) => {
      const mine = resolved(example.pack, (example.now_used_if_relative ?? 0) * 1_000)
      // Where the authors' tool has a bug (it drops a `vd` in 5.1.5, does not sort 5.1.2b) or gives nothing (5.1.7c), the form
      // computed by the rules stands beside it. Both leave out in 5.1.2b what 4.6 asks for: bver 5 in every record.
      expect(mine.map(without)).toEqual(example.resolved_by_our_rule_script)
      expect(mine.every(({ bver }) => bver === (section === '5.1.2b' ? 5 : undefined))).toBe(true)
      const theirs = example.resolved_in_repo
      if (theirs === null) return
      const mineAsTold = mine.map((record) => inOneOrder(without(record)))
      const missing = theirs.filter((record) => !mineAsTold.includes(inOneOrder(record)))
      expect(missing).toEqual([])
      expect(mine.length - theirs.length).toBe(section === '5.1.5' ? 1 : 0)
    },
  )

  it('are all there', () => {
    expect(published.examples).toHaveLength(12)
    expect(published.examples.filter(({ resolved_in_repo }) => resolved_in_repo !== null)).toHaveLength(11)
  })

  it('reads the CBOR dump of section 6, and writes it again byte for byte', () => {
    const { hex, decoded, bytes } = golden.senml_cbor_rfc8428_sec6
    const pack = fromCbor(bytesOfHex(hex))
    expect(pack).toEqual(decoded)
    const again = toCbor(pack as SenmlRecord[])
    expect(again).toHaveLength(bytes)
    expect(hexOf(again)).toBe(hex)
  })
})

describe('the rules of RFC 8428, one by one', () => {
  it('times below 2^28 count from now, at and above from 1970', () => {
    const at = (t: number) => resolved([{ n: 'a', v: 1, t }])[0]?.t
    expect(at(0)).toBe(now / 1_000)
    expect(at(-30)).toBe(now / 1_000 - 30)
    expect(at(268_435_455)).toBe(now / 1_000 + 268_435_455)
    expect(at(268_435_456)).toBe(268_435_456)
    expect(new Date(268_435_456_000).toISOString()).toBe('1978-07-04T21:24:16.000Z')
    expect(resolved([{ bt: 268_435_400, n: 'a', v: 1, t: 100 }])[0]?.t).toBe(268_435_500)
  })

  it('bases hold until they are replaced, each for itself', () => {
    const pack = [
      { bn: 'a:', bu: 'Cel', bv: 20, bs: 100, n: 'x', v: 1.5 },
      { n: 'y', v: 2, s: 5 },
      { bn: 'b:', n: 'x', u: 'K', v: 3 },
      { bv: 0, n: 'y', v: 4 },
      { n: 'z', vb: true },
      { n: 'w' },
    ]
    expect(resolved(pack).map(({ n, u, v, vb, s }) => [n, u, v ?? vb, s])).toEqual([
      ['a:x', 'Cel', 21.5, 100],
      ['a:y', 'Cel', 22, 105],
      ['b:x', 'K', 23, 100],
      ['b:y', 'Cel', 4, 100],
      ['b:z', 'Cel', true, 100],
      ['b:w', 'Cel', 0, 100],
    ])
  })

  it('a record of nothing but bases is no measurement, even with a base value', () => {
    expect(
      resolved([
        { bn: 'a', bv: 20 },
        { n: 'b', v: 1 },
      ]).map(({ n, v }) => [n, v]),
    ).toEqual([['ab', 21]])
  })

  it('a sum may stand without a value, and an update time is kept', () => {
    expect(resolved([{ n: 'a', u: 'W', s: 7, ut: 60, t: 1e9 }])).toEqual([{ n: 'a', u: 'W', s: 7, ut: 60, t: 1e9 }])
  })

  it('records come out in order of time, those of one time in their own order', () => {
    const pack = [
      { bt: 1e9, n: 'c', v: 1, t: 2 },
      { n: 'b', v: 1 },
      { n: 'a', v: 1, t: 2 },
    ]
    expect(resolved(pack).map(({ n }) => n)).toEqual(['b', 'c', 'a'])
  })

  it('what is unknown is passed over, unless its label ends in "_"', () => {
    expect(resolved([{ n: 'a', v: 1, colour: 'red', l: [{}] }])).toHaveLength(1)
    expect(refusal('[{"n":"a","v":1,"colour_":"red"}]')).toBe(
      'Record 1 of the pack has the label "colour_", which must be understood and is not known.',
    )
  })

  it('version 26, the usual one with secondary units (RFC 9100), is known and told in every record', () => {
    expect(
      resolved([
        { bver: 26, n: 'a', u: 'mV', v: 1 },
        { n: 'b', v: 2 },
      ]).map(({ bver }) => bver),
    ).toEqual([26, 26])
    expect(resolved([{ bver: 10, n: 'a', v: 1 }])[0]).not.toHaveProperty('bver')
  })
})

describe('a pack that must be refused says why in one sentence', () => {
  it.each<[string, RegExp]>([
    ['[{"n":"a","v":1,"bver":11}]', /version 11; up to 26/],
    ['[{"n":"a","v":1,"bver":42}]', /version 42/],
    ['[{"bver":5,"n":"a","v":1},{"bver":10,"n":"a","v":1}]', /Record 2 .*version 10, the pack of 5.*mixed/],
    ['[{"n":"a","v":1},{"bver":5,"n":"a","v":1}]', /Record 2 .*mixed/],
    ['[{"n":"a","v":1,"bver":0}]', /"bver" no whole number of at least 1: "0"/],
    ['[{"n":"a","v":1,"bver":10.5}]', /"bver"/],
    ['[{"n":"a","v":1,"vs":"x"}]', /2 values \(v, vs\)/],
    ['[{"n":"a","vb":true,"vd":"AA"}]', /2 values/],
    ['[{"n":"a"}]', /no value and no sum/],
    ['[{"n":"a","t":5}]', /no value and no sum/],
    ['[{}]', /has no name/],
    ['[{"v":1}]', /has no name/],
    ['[{"bn":"","n":"","v":1}]', /has no name/],
    ['[{"n":"-a","v":1}]', /has the name "-a"/],
    ['[{"n":"a b","v":1}]', /has the name "a b"/],
    ['[{"n":"ä","v":1}]', /has the name/],
    ['[{"bn":"ok","n":"?","v":1}]', /has the name "ok\?"/],
    ['[{"n":"a","v":"1"}]', /"v" no finite number: "1"/],
    ['[{"n":"a","v":null}]', /"v" no finite number: "null"/],
    ['[{"n":"a","v":1e999}]', /"v" no finite number/],
    ['[{"n":"a","v":1,"t":"now"}]', /"t" no finite number/],
    ['[{"n":"a","vb":1}]', /"vb" no true or false/],
    ['[{"n":"a","vs":7}]', /"vs" no text/],
    ['[{"n":"a","vs":"\\ud800"}]', /"vs" no text in Unicode/],
    ['[{"n":"a","vd":"aGkgCg=="}]', /"vd" no bytes/],
    ['[{"n":"a","vd":"aGkgC/"}]', /"vd" no bytes/],
    ['[{"n":7,"v":1}]', /"n" no text/],
    ['[{"n":"a","v":1,"v":2}]', /label "v" twice/],
    ['[{"n":"a","v":1,"\\u0076":2}]', /label "v" twice/],
    ['[{"bv":1.7e308,"n":"a","v":1.7e308}]', /beyond all bounds/],
    ['[]', /empty list/],
    ['{"n":"a","v":1}', /must be a list/],
    ['[[{"n":"a","v":1}]]', /must be an object/],
    ['[7]', /must be an object/],
    ['[null]', /must be an object/],
    ['[{"n":"a","v":NaN}]', /not JSON/],
    ['[{"n":"a","v":1}', /not JSON/],
  ])('%s', (text, sentence) => {
    const said = refusal(text)
    expect(said).toMatch(sentence)
    expect(said).toMatch(/^(The pack|Record \d+ of the pack|A record of the pack) [^\n]*\.$/)
  })

  it('in JSON that is not UTF-8', () => {
    expect(fromJson(Uint8Array.of(0x5b, 0xff, 0x5d))).toMatch(/not JSON in UTF-8/)
  })

  it('with more records than are read', () => {
    expect(refusal(JSON.stringify(Array.from({ length: 5_001 }, () => ({ n: 'a', v: 1 }))))).toMatch(
      /5001 records; at most 5000/,
    )
  })
})

describe('laws of SenML', () => {
  it('what is written in JSON or in CBOR is read again as it was, in the order it had', () => {
    fc.assert(
      fc.property(writtenPack, (pack) => {
        const json = fromJson(toJson(pack))
        expect(json).toEqual(pack)
        const cbor = fromCbor(toCbor(pack))
        expect(cbor).toEqual(pack)
        expect(JSON.stringify(cbor)).toBe(JSON.stringify(pack))
      }),
      { numRuns: 500 },
    )
  })

  it('a pack means the same in both forms', () => {
    fc.assert(
      fc.property(sensiblePack, (pack) => {
        expect(resolve(fromCbor(toCbor(pack)) as SenmlRecord[], now)).toEqual(
          resolve(fromJson(toJson(pack)) as SenmlRecord[], now),
        )
      }),
      { numRuns: 300 },
    )
  })

  it('a resolved pack stays as it is when it is resolved again, and is in order of time', () => {
    fc.assert(
      fc.property(sensiblePack, (pack) => {
        const once = resolve(pack, now)
        if (typeof once === 'string') throw new Error(once)
        expect(once).toHaveLength(pack.length)
        expect(once.every((record, i) => i === 0 || (once[i - 1]?.t ?? 0) <= record.t)).toBe(true)
        expect(resolve(once, now + 1)).toEqual(once)
      }),
      { numRuns: 300 },
    )
  })

  it('bytes as text come back, and no second text means the same bytes', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 40 }), (bytes) => {
        expect(fromBase64url(toBase64url(bytes))).toEqual(bytes)
        expect(toBase64url(bytes)).toBe(Buffer.from(bytes).toString('base64url'))
      }),
    )
    fc.assert(
      fc.property(fc.stringMatching(/^[A-Za-z0-9_-]{0,8}$/), (text) => {
        const bytes = fromBase64url(text)
        if (bytes !== null) expect(toBase64url(bytes)).toBe(text)
      }),
    )
  })
})
