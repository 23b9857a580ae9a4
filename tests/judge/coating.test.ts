/** A coating: which coat may go on now, and what is written down when one goes on. */
import { describe, expect, it } from 'vitest'
import { noon, onePot, type Setting, Tale } from './tale.ts'

const p = 'p.temperature'
/** Invented windows; the second and the third overlap from 84 to 86 °C. */
const coats = [
  { id: 'first', name: 'First', window: { fromC: 104, toC: 110 } },
  { id: 'second', name: 'Second', window: { fromC: 84, toC: 90 } },
  { id: 'third', name: 'Third', window: { fromC: 78, toC: 86 } },
]
const setting: Setting = {
  ...onePot([]),
  recipes: [{ kind: 'wax', id: 'w', name: 'w', coats }] as unknown as NonNullable<Setting['recipes']>,
}

function begun(): Tale {
  const tale = new Tale(setting)
  tale.starts('r', 0, { kind: 'coating', station: 'P', recipe: 'w' })
  return tale
}

const at = (tale: Tale) => tale.progress('r', 'coating')

describe('the open window', () => {
  it('is none before the pot was seen, and the first coat is next', () => {
    expect(at(begun())).toMatchObject({ temperatureC: null, open: null, next: 'first', done: [] })
  })

  it('is that of the coat whose window holds the wax, its edges included', () => {
    const tale = begun()
    const opens = (s: number, value: number) => {
      tale.reads(p, s, value)
      return at(tale).open
    }
    expect(opens(10, 110.1)).toBeNull()
    expect(opens(20, 110)).toBe('first')
    expect(opens(30, 104)).toBe('first')
    expect(opens(40, 103.9)).toBeNull()
    expect(opens(50, 90)).toBe('second')
  })

  it('of two that overlap is the earlier one, until that coat is on', () => {
    const tale = begun()
    tale.reads(p, 10, 85)
    expect(at(tale).open).toBe('second')
    tale.marks('r', 11, 'second')
    expect(at(tale)).toMatchObject({ open: 'third', next: 'first' })
  })

  it('tells the station as soon as it opens and as soon as it shuts', () => {
    const tale = begun()
    tale.reads(p, 10, 111)
    expect([...tale.reads(p, 20, 109).stations]).toEqual(['P'])
    expect([...tale.reads(p, 30, 108).stations]).toEqual([])
    expect([...tale.reads(p, 40, 103).stations]).toEqual(['P'])
  })

  it('is none once the pot is quiet, and none while its probe sends what cannot be true', () => {
    const quiet = begun()
    quiet.reads(p, 10, 107)
    expect([...quiet.tick(40).stations]).toEqual(['P'])
    expect(at(quiet)).toMatchObject({ temperatureC: null, open: null, next: 'first' })
    quiet.reads(p, 50, 106)
    expect(at(quiet).open).toBe('first')
    quiet.bad(p, 60)
    expect(at(quiet)).toMatchObject({ temperatureC: null, open: null })
  })

  it('is not opened by a backlog: how the wax was is not how it is', () => {
    const tale = begun()
    tale.reads(p, 10, 107, { lateS: 3_600 })
    expect(at(tale)).toMatchObject({ temperatureC: null, open: null })
  })

  it('stays open between the readings of a probe whose clock is slow', () => {
    const tale = begun()
    tale.reads(p, 10, 107, { lateS: 45 })
    tale.tick(60)
    expect(at(tale).open).toBe('first')
  })
})

describe('a coat that goes on', () => {
  it('is written down with its time, its temperature and who put it on', () => {
    const tale = begun()
    tale.reads(p, 10, 107)
    tale.marks('r', 12, 'first')
    expect(at(tale)).toMatchObject({
      done: [{ coat: 'first', at: noon + 12_000, temperatureC: 107, inWindow: true, by: 'Ana' }],
      open: null,
      next: 'second',
    })
  })

  it('outside its window is told at once, as a notice that rings nobody', () => {
    const tale = begun()
    tale.reads(p, 10, 92)
    tale.marks('r', 12, 'second')
    expect(at(tale).done).toMatchObject([{ coat: 'second', temperatureC: 92, inWindow: false }])
    expect([...tale.findings.values()]).toMatchObject([
      {
        kind: 'coat-outside-window',
        since: noon + 12_000,
        clearedAt: noon + 12_000,
        facts: { coat: 'second', valueC: 92, fromC: 84, toC: 90 },
      },
    ])
    expect(tale.alarms()).toEqual([])
  })

  it('while nobody sees the pot has no temperature, and nobody says whether it was in its window', () => {
    const tale = begun()
    tale.marks('r', 12, 'first')
    expect(at(tale).done).toMatchObject([{ temperatureC: null, inWindow: null }])
    expect(tale.findings.size).toBe(0)
  })

  it('marked twice is on once, as it was marked first', () => {
    const tale = begun()
    tale.reads(p, 10, 107)
    tale.marks('r', 12, 'first')
    tale.reads(p, 20, 100)
    tale.marks('r', 22, 'first')
    expect(at(tale).done).toMatchObject([{ coat: 'first', temperatureC: 107 }])
    expect(tale.findings.size).toBe(0)
  })

  it('taken back is next again, and its window opens again', () => {
    const tale = begun()
    tale.reads(p, 10, 107)
    tale.marks('r', 12, 'first')
    tale.undoes('r', 13)
    expect(at(tale)).toMatchObject({ done: [], open: 'first', next: 'first' })
    tale.undoes('r', 14)
    expect(at(tale).done).toEqual([])
  })

  it('that the recipe does not have is not written down', () => {
    const tale = begun()
    tale.marks('r', 12, 'fourth')
    expect(at(tale).done).toEqual([])
  })
})

describe('the end', () => {
  it('has no next coat when every coat is on', () => {
    const tale = begun()
    for (const { id } of coats) tale.marks('r', 10, id)
    expect(at(tale)).toMatchObject({ open: null, next: null })
  })

  it('closed, it is gone from the station and takes no more marks', () => {
    const tale = begun()
    tale.closes('r', 20)
    tale.marks('r', 21, 'first')
    tale.undoes('r', 22)
    expect(tale.house.stations[0]?.runs).toEqual([])
  })
})
