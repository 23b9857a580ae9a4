/** Evidence in words: differences without an offset, temperatures with it, shares in percent, times as times. */
import { describe, expect, it } from 'vitest'
import { evidenceTold, ruledOutTold } from '../../dashboard/words/doubted.ts'
import { doubtKinds } from '../../shared/contract/index.ts'
import type { Speech } from '../../shared/words/index.ts'

const speech: Speech = { unit: 'C', timeZone: 'UTC', nameOf: (id) => id }
const fahrenheit: Speech = { ...speech, unit: 'F' }

describe('what was seen', () => {
  it('tells a difference as a difference and a temperature as a temperature, in either unit', () => {
    const below = { what: 'below its twin by', value: 9, unit: '°C', usual: 0 }
    expect(evidenceTold(below, speech)).toBe('below its twin by 9 °C')
    expect(evidenceTold(below, fahrenheit)).toBe('below its twin by 16.2 °F')
    expect(evidenceTold({ what: 'rest at', value: 350, unit: '°C' }, fahrenheit)).toBe('rest at 662 °F')
  })

  it('stands beside what it usually is', () => {
    expect(evidenceTold({ what: 'noise ratio', value: 0.104, unit: '', usual: 1 }, speech)).toBe(
      'noise ratio 0.104, else 1',
    )
    expect(evidenceTold({ what: 'share above surroundings', value: 0.41, unit: '', usual: 1 }, speech)).toBe(
      'share above surroundings 41 %, else 100 %',
    )
    expect(evidenceTold({ what: 'at rest for', value: 7.5, unit: 'h' }, speech)).toBe('at rest for 7 h 30 min')
    expect(evidenceTold({ what: 'later by', value: -12, unit: 'min' }, speech)).toBe('later by −12 min')
  })

  it('names every kind that can be ruled out', () => {
    const evidence = { what: 'greatest step', value: 1, unit: '°C' }
    for (const kind of doubtKinds)
      expect(ruledOutTold({ kind, evidence }, speech)).toMatch(/^\w.+ \(greatest step 1 °C\)$/)
  })
})
