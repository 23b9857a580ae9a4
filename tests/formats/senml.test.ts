/** A SenML message becomes readings of the right instruments, at the right instants; what is not for us is left out and said. */
import { describe, expect, it } from 'vitest'
import { toCbor } from '../../gateway/intake/formats/senml/cbor.ts'
import type { SenmlRecord } from '../../gateway/intake/formats/senml/record.ts'
import { understandSenml } from '../../gateway/intake/formats/senml/senml.ts'
import { bytesOf } from './senml.ts'

const now = 1_795_000_000_000

function understood(pack: unknown, retained = false) {
  return understandSenml('probe', bytesOf(JSON.stringify(pack)), now, retained)
}
/** Instrument, instant, quantity, value of everything that was read. */
function readings(pack: unknown, retained = false): unknown[] {
  return understood(pack, retained).decoded.flatMap((one): unknown[] =>
    one.is === 'readings'
      ? one.moments.flatMap(({ at, values }) =>
          values.map(({ quantity, value }) => [one.instrument, at, quantity, value]),
        )
      : [one],
  )
}

describe('a SenML message', () => {
  it('of one probe is the instrument of its topic, without a time of its own', () => {
    expect(readings([{ n: 'urn:dev:ow:10e2', u: 'Cel', v: 23.1 }])).toEqual([['probe', null, 'temperature', 23.1]])
    expect(
      readings([
        { n: 'a/temperature', u: 'Cel', v: 21 },
        { n: 'a/humidity', u: '%RH', v: 55 },
      ]),
    ).toEqual([
      ['probe', null, 'temperature', 21],
      ['probe', null, 'humidity', 55],
    ])
  })

  it('means the same in CBOR', () => {
    const pack: SenmlRecord[] = [
      { bn: 'a:', n: 'x', u: 'Cel', v: 21.5, t: -10 },
      { n: 'door_open', vb: true },
    ]
    expect(understandSenml('probe', toCbor(pack), now, false)).toEqual(understood(pack))
  })

  it('of several probes tells them apart by the end of their names', () => {
    const pack = [
      { bn: 'kiln:', bu: 'Cel', n: 'top', v: 700 },
      { n: 'bottom', v: 690 },
      { n: 'rh', u: '%RH', v: 5 },
    ]
    expect(readings(pack)).toEqual([
      ['probe:top', null, 'temperature', 700],
      ['probe:bottom', null, 'temperature', 690],
      ['probe', null, 'humidity', 5],
    ])
  })

  it('of probes whose names end alike tells them apart by the whole name', () => {
    // RFC 8428, 5.1.6.
    const pack = [
      { bn: '2001:db8::2/', bt: 1320078429, n: 'temperature', u: 'Cel', v: 25.2 },
      { n: 'humidity', u: '%RH', v: 30 },
      { bn: '2001:db8::1/', n: 'temperature', u: 'Cel', v: 12.3 },
      { n: 'humidity', u: '%RH', v: 67 },
    ]
    expect(readings(pack).map((one) => (one as unknown[])[0])).toEqual([
      'probe:2001:db8::2:temperature',
      'probe:2001:db8::2:humidity',
      'probe:2001:db8::1:temperature',
      'probe:2001:db8::1:humidity',
    ])
  })

  it('puts the voltage and the cold end of one thermocouple into one moment', () => {
    const pack = [
      { bn: 'z1/', n: 'emf', u: 'mV', v: 4.096 },
      { n: 'junction', u: 'K', v: 298.15 },
      { bn: 'z2/', n: 'emf', u: 'V', v: 0.008 },
      { n: 'junction', u: 'Cel', v: 24 },
    ]
    const { decoded } = understood(pack)
    expect(decoded.map((one) => (one.is === 'readings' ? [one.instrument, one.moments.length] : one))).toEqual([
      ['probe:z1', 1],
      ['probe:z2', 1],
    ])
    expect(readings(pack).map((one) => (one as unknown[]).slice(2))).toEqual([
      ['emf', 4_096],
      ['junction', 25],
      ['emf', 8_000],
      ['junction', 24],
    ])
  })

  it('gives every unit that means something here in the unit of the house', () => {
    const units = [
      ['Cel', 20, 'temperature', 20],
      ['K', 273.15, 'temperature', 0],
      ['degF', 32, 'temperature', 0],
      ['%RH', 50, 'humidity', 50],
      ['m/s', 0.5, 'air-speed', 0.5],
      ['km/h', 3.6, 'air-speed', 1],
      ['Pa', 101_325, 'pressure', 101_325],
      ['hPa', 1_000, 'pressure', 100_000],
      ['kPa', 100, 'pressure', 100_000],
      ['A', 3, 'current', 3],
      ['mA', 3_000, 'current', 3],
    ] as const
    for (const [u, v, quantity, value] of units)
      expect(readings([{ n: 'x', u, v }]), u).toEqual([['probe', null, quantity, value]])
  })

  it('reads a truth as a contact: 1 is closed, and what is called open is closed while it is not', () => {
    expect(readings([{ n: 'door', vb: true }])).toEqual([['probe', null, 'contact', 1]])
    expect(readings([{ n: 'door:open', vb: true }])).toEqual([['probe', null, 'contact', 0]])
    expect(readings([{ n: 'reopen', vb: true }])).toEqual([['probe', null, 'contact', 1]])
  })

  it('takes what is ours and says what was left out', () => {
    const { decoded, leftOut } = understood([
      { bn: 'a:', n: 't', u: 'Cel', v: 20 },
      { n: 'lat', u: 'lat', v: 60 },
      { n: 'label', vs: 'kiln' },
      { n: 'level', v: 3 },
      { n: 'supply', u: 'V', v: 24 },
      { n: 'energy', u: 'W', s: 5 },
    ])
    expect(decoded).toHaveLength(1)
    expect(leftOut).toHaveLength(5)
    expect(leftOut?.join(' ')).toMatch(
      /"a:lat" is in "lat".*"a:label" holds no number.*"a:level" is without a unit.*"a:supply" is a voltage.*"a:energy" holds no/,
    )
  })

  it('of which nothing is ours is told as unreadable, for somebody may have misspelled a unit', () => {
    expect(understood([{ n: 't', u: 'C', v: 20 }]).decoded).toEqual([
      {
        is: 'unreadable',
        instrument: 'probe',
        reason: 'Nothing in the pack could be taken: "t" is in "C", which is not watched here.',
      },
    ])
  })

  it('with times of its own keeps them, in order; what is "now" beside them is the arrival', () => {
    const pack = [
      { bn: 'a', bu: 'Cel', v: 3 },
      { v: 1, t: -60.5 },
      { v: 2, t: 1_794_999_970 },
    ]
    expect(readings(pack)).toEqual([
      ['probe', now - 60_500, 'temperature', 1],
      ['probe', now - 30_000, 'temperature', 2],
      ['probe', now, 'temperature', 3],
    ])
  })

  it('from a broker’s memory keeps only what has a time of its own', () => {
    expect(readings([{ n: 'a', u: 'Cel', v: 1 }], true)).toEqual([])
    expect(readings([{ n: 'a', u: 'Cel', v: 1, t: 1_794_000_000 }], true)).toHaveLength(1)
    expect(understood([{ n: 'a', u: 'Cel', v: 1 }], true).leftOut?.[0]).toMatch(/memory/)
  })

  it('with a time that no calendar knows is refused', () => {
    for (const t of [1e15, -1e10])
      expect(understood([{ n: 'a', u: 'Cel', v: 1, t }]).decoded).toMatchObject([{ is: 'unreadable' }])
  })

  it('keeps a name too long for an instrument short, and apart from its like', () => {
    const long = 'x'.repeat(80)
    const names = readings([
      { n: `${long}1`, u: 'Cel', v: 1 },
      { n: `${long}2`, u: 'Cel', v: 2 },
    ]).map((one) => String((one as unknown[])[0]))
    expect(names.every((name) => name.length === 64)).toBe(true)
    expect(new Set(names).size).toBe(2)
  })

  it('that is neither JSON nor CBOR says so', () => {
    for (const bytes of [[], [0x00], [0xff], [0x3c], [0x5f, 0xff]])
      expect(understandSenml('probe', Uint8Array.from(bytes), now, false).decoded).toMatchObject([
        { is: 'unreadable', instrument: 'probe' },
      ])
  })
})
