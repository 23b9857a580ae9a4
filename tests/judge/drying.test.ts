/** A drying: how much of the time was seen, how much of that was in the climate band, and who is called when it is not. */
import { describe, expect, it } from 'vitest'
import { noon, type Setting, Tale } from './tale.ts'

const t = 'c.temperature'
const h = 'c.humidity'

function room(recipe: Record<string, unknown>, more: Record<string, unknown> = {}): Setting {
  return {
    stations: [{ id: 'R', name: 'Room', kind: 'dry-room' }] as unknown as Setting['stations'],
    instruments: [{ id: 'c', name: 'Climate', kind: 'climate', station: 'R', intervalS: 60, ...more }],
    recipes: [
      { kind: 'drying', id: 'd', name: 'd', temperature: { fromC: 20, toC: 24 }, ...recipe },
    ] as unknown as NonNullable<Setting['recipes']>,
  }
}

function begun(recipe: Record<string, unknown> = {}): Tale {
  const tale = new Tale(room(recipe))
  tale.starts('r', 0, { kind: 'drying', station: 'R', recipe: 'd' })
  return tale
}

/** The same, begun at thirty seconds. */
function begun30(before: (tale: Tale) => void = () => {}): Tale {
  const tale = new Tale(room({}))
  before(tale)
  tale.starts('r', 30, { kind: 'drying', station: 'R', recipe: 'd' })
  return tale
}

const at = (tale: Tale) => tale.progress('r', 'drying')

describe('the time in band', () => {
  it('is all of the time seen while the room keeps its band', () => {
    const tale = begun()
    tale.readsOn(t, 0, 600, 60, () => 22)
    expect(at(tale)).toMatchObject({ temperatureC: 22, seenMs: 600_000, inBandMs: 600_000, outSince: null })
  })

  it('ends where the straight line between two readings crosses the limit', () => {
    const tale = begun()
    tale.reads(t, 0, 23)
    // From 23 to 25 °C in a minute: 24 is crossed half way, so 30 s are in band.
    tale.reads(t, 60, 25)
    expect(at(tale)).toMatchObject({ seenMs: 60_000, inBandMs: 30_000, outSince: noon + 30_000 })
    // From 25 to 23.5 °C: 24 is crossed after two thirds of the minute, so 20 s are in band.
    tale.reads(t, 120, 23.5)
    expect(at(tale).inBandMs).toBeCloseTo(50_000, 6)
    expect(at(tale)).toMatchObject({ seenMs: 120_000, outSince: null })
  })

  it('counts only the middle of a line that runs through the whole band', () => {
    const tale = begun()
    tale.reads(t, 0, 18)
    // From 18 to 26 °C: 20 to 24 is half of the way.
    tale.reads(t, 60, 26)
    expect(at(tale)).toMatchObject({ seenMs: 60_000, inBandMs: 30_000 })
  })

  it('does not grow through a hole, nor beside a bad value', () => {
    const tale = begun()
    tale.reads(t, 0, 22)
    tale.reads(t, 60, 22)
    tale.reads(t, 241, 22)
    expect(at(tale)).toMatchObject({ seenMs: 60_000, inBandMs: 60_000 })
    tale.reads(t, 300, 22)
    tale.bad(t, 360)
    tale.reads(t, 420, 22)
    tale.reads(t, 480, 22)
    expect(at(tale)).toMatchObject({ seenMs: 179_000, inBandMs: 179_000 })
  })

  it('begins with the run, not with the line that was already there', () => {
    const tale = begun30((before) => before.reads(t, 0, 22))
    tale.reads(t, 60, 22)
    tale.reads(t, 120, 22)
    expect(at(tale)).toMatchObject({ seenMs: 60_000 })
  })

  it('takes no value that was measured before the run began, though it arrived after', () => {
    const tale = begun30()
    tale.reads(t, 25, 26, { lateS: 10 })
    expect(at(tale)).toMatchObject({ temperatureC: null, outSince: null })
    tale.reads(t, 85, 26)
    expect(at(tale)).toMatchObject({ temperatureC: 26, outSince: noon + 85_000 })
  })

  it('asks for humidity as well where the recipe does', () => {
    const tale = begun({ humidity: { from: 40, to: 60 } })
    for (let s = 0; s <= 240; s += 60) {
      tale.reads(t, s, 22)
      tale.reads(h, s, s < 180 ? 50 : 70)
    }
    // Humidity rises from 50 to 70 % between 120 and 180 s: 60 % is crossed half way.
    expect(at(tale)).toMatchObject({ seenMs: 240_000, inBandMs: 150_000, humidity: 70, outSince: noon + 150_000 })
  })

  it('is unseen where a humidity that the recipe asks for is', () => {
    const tale = begun({ humidity: { from: 40, to: 60 } })
    tale.readsOn(t, 0, 600, 60, () => 22)
    expect(at(tale)).toMatchObject({ seenMs: 0, inBandMs: 0, temperatureC: 22, humidity: null })
  })

  it('does not depend on which half of a message is read first', () => {
    const [one, other] = [begun({ humidity: { from: 40, to: 60 } }), begun({ humidity: { from: 40, to: 60 } })]
    for (let s = 0; s <= 600; s += 60) {
      const [warm, damp] = [22 + Math.sin(s), 55 + 10 * Math.sin(s / 100)]
      one.reads(t, s, warm)
      one.reads(h, s, damp)
      other.reads(h, s, damp)
      other.reads(t, s, warm)
    }
    expect(at(one)).toEqual(at(other))
    expect(at(one).inBandMs).toBeGreaterThan(0)
  })
})

describe('a room out of its band', () => {
  it('calls after five minutes, and falls silent when it has been back for two', () => {
    const tale = begun()
    tale.readsOn(t, 0, 240, 60, () => 25)
    expect(tale.standing()).toEqual([])
    tale.reads(t, 300, 25)
    expect(tale.told('outside-recipe-band')).toEqual([{ since: 0, raised: 300, cleared: null }])
    expect(tale.alarm()).toMatchObject({
      subject: 'r:temperature',
      finding: { facts: { side: 'above', from: 20, to: 24 } },
    })
    tale.readsOn(t, 360, 420, 60, () => 23.9)
    tale.readsOn(t, 480, 600, 60, () => 23.5)
    expect(tale.told('outside-recipe-band')).toEqual([{ since: 0, raised: 300, cleared: 480 }])
  })

  it('calls for humidity as well', () => {
    const tale = begun({ humidity: { from: 40, to: 60 } })
    tale.readsOn(h, 0, 300, 60, () => 30)
    expect(tale.alarm()).toMatchObject({
      subject: 'r:humidity',
      finding: { facts: { side: 'below', quantity: 'humidity' } },
    })
  })

  it('calls although a bad value comes now and then', () => {
    const tale = begun()
    for (let s = 0; s <= 360; s += 60) {
      if (s % 120 === 60) tale.bad(t, s)
      else tale.reads(t, s, 25)
    }
    expect(tale.told('outside-recipe-band')).toEqual([{ since: 0, raised: 360, cleared: null }])
  })

  it('does not count a hole as time outside', () => {
    const tale = begun()
    tale.reads(t, 0, 25)
    tale.reads(t, 400, 25)
    expect(tale.standing()).toEqual([])
    expect(at(tale).outSince).toBe(noon + 400_000)
  })

  it('that nobody sees any more has no temperature, and is not said to be still outside', () => {
    const tale = begun()
    tale.readsOn(t, 0, 60, 60, () => 25)
    expect(at(tale).outSince).toBe(noon)
    expect([...tale.tick(240).stations]).toEqual(['R'])
    expect(at(tale)).toMatchObject({ temperatureC: null, outSince: null, seenMs: 60_000 })
  })

  it('ends what it had announced when the run is closed', () => {
    const tale = begun()
    tale.readsOn(t, 0, 300, 60, () => 25)
    tale.closes('r', 310)
    expect(tale.told('outside-recipe-band')).toEqual([{ since: 0, raised: 300, cleared: 310 }])
    expect(tale.alarms()).toEqual(['outside-recipe-band returned-unacknowledged'])
  })
})
