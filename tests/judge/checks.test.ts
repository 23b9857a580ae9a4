/** A check is due so long after the last one: said once, for tomorrow, and over when somebody checks or calibrates. */
import { describe, expect, it } from 'vitest'
import { byMeasurement, emptyHouse } from '../../shared/judge/index.ts'
import { noon, onePot, type Setting, Tale } from './tale.ts'

const dayS = 86_400
const due = 'check-due p'
/** Somebody listens to it, so that silence is not the matter here. */
const every = (days: number | undefined, more: Record<string, unknown> = {}) =>
  onePot([], { silenceS: 86_400, ...(days === undefined ? {} : { checkEveryDays: days }), ...more })

function hears(tale: Tale, atS: number): void {
  tale.reads('p.temperature', atS, 20)
}

describe('a check that is asked for', () => {
  it('is due so many days after the instrument was set up, at that very moment, for tomorrow', () => {
    const tale = new Tale(every(2))
    hears(tale, 2 * dayS - 100)
    expect(tale.due()).toBe(2 * dayS)
    tale.tick(2 * dayS - 1)
    expect(tale.standing()).toEqual([])
    tale.tick(2 * dayS)
    expect(tale.standing()).toEqual([due])
    expect(tale.alarm()).toMatchObject({
      answer: { tier: 'tomorrow' },
      finding: { facts: { checkedAt: null, everyDays: 2 } },
    })
    expect(tale.tick(2 * dayS + 1).findings).toEqual([])
  })

  it('is over when somebody checks it, and due again as long after', () => {
    const tale = new Tale(every(1))
    hears(tale, dayS - 10)
    tale.tick(dayS)
    tale.checks('p', dayS + 60)
    expect(tale.standing()).toEqual([])
    expect(tale.told('check-due')).toEqual([{ since: dayS, raised: dayS, cleared: dayS + 60 }])
    hears(tale, 2 * dayS)
    tale.tick(2 * dayS + 59)
    expect(tale.standing()).toEqual([])
    tale.tick(2 * dayS + 60)
    expect(tale.standing()).toEqual([due])
    expect([...tale.findings.values()].at(-1)?.facts).toMatchObject({ checkedAt: noon + (dayS + 60) * 1_000 })
  })

  it('is over with a calibration too, and with nobody asking any more', () => {
    const tale = new Tale(every(1))
    hears(tale, dayS - 10)
    tale.tick(dayS)
    const calibrations = [{ at: noon + dayS * 1_000, points: [{ readsC: 0, isC: 0 }] }]
    tale.setUp(every(1, { calibrations }), dayS + 10)
    expect(tale.standing()).toEqual([])
    expect(tale.alarms()).toEqual(['check-due returned-unacknowledged'])
    hears(tale, 2 * dayS)
    tale.tick(2 * dayS)
    expect(tale.standing()).toEqual([due])
    tale.setUp(every(undefined, { calibrations }), 2 * dayS + 10)
    expect(tale.standing()).toEqual([])
  })

  it('is due at once where the last calibration is older than that, and not for an instrument of which none is asked', () => {
    const calibrations = [{ at: noon - 400 * dayS * 1_000, points: [{ readsC: 0, isC: 0 }] }]
    const tale = new Tale(every(365, { calibrations }))
    tale.tick(0)
    expect(tale.standing()).toEqual([due])
    const other = new Tale(every(undefined, { calibrations }))
    hears(other, 1_000 * dayS)
    other.tick(1_000 * dayS)
    expect(other.standing()).toEqual([])
  })

  it('goes with the instrument to another station', () => {
    const two = (station: string): Setting => ({
      stations: ['P', 'Q'].map((id) => ({ id, name: id, kind: 'pot' })) as Setting['stations'],
      instruments: [
        { id: 'p', name: 'p', kind: 'thermocouple', station, intervalS: 10, silenceS: 86_400, checkEveryDays: 1 },
      ],
    })
    const tale = new Tale(two('P'))
    tale.checks('p', 1_000)
    tale.setUp(two('Q'), 2_000)
    hears(tale, dayS)
    tale.tick(dayS + 999)
    expect(tale.standing()).toEqual([])
    tale.tick(dayS + 1_000)
    expect(tale.standing()).toEqual([due])
  })

  it('is found by a replay at the same moment', () => {
    const tale = new Tale(every(1))
    hears(tale, 10)
    const { findings } = byMeasurement(emptyHouse(), tale.journal, noon + 2 * dayS * 1_000)
    expect(findings.filter((f) => f.kind === 'check-due')).toMatchObject([{ since: noon + dayS * 1_000 }])
  })
})
