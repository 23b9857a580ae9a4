/** A foundry document is valid as a whole, and where it is not every fault is told at once, with its place. */
import { describe, expect, it } from 'vitest'
import { explainFoundry, Foundry } from '../../shared/contract/index.ts'
import { smallFoundry } from '../helpers/gateway.ts'

function complaintsOf(document: unknown): string[] {
  const parsed = Foundry.safeParse(document)
  return parsed.success ? [] : explainFoundry(parsed.error, document).map((c) => c.sentence)
}

describe('a foundry document', () => {
  it('with faults of every sort hears of all of them, each once', () => {
    const { site, stations, instruments, recipes } = smallFoundry()
    const [pot, ...others] = stations
    const document = {
      site: { ...site, timeZone: 'London' },
      stations: [{ ...pot, kind: 'pott', limits: [{ kind: 'ceiling', aboveC: '140' }] }, ...others],
      instruments: [
        { ...instruments[0], station: 'pot-9' },
        { ...instruments[1], id: 'pot-mid' },
        ...instruments.slice(2),
      ],
      recipes,
    }
    const complaints = complaintsOf(document)
    expect(complaints).toEqual([
      expect.stringContaining('site.timeZone is not an IANA time zone'),
      expect.stringContaining('stations[0].kind must be "pot" or'),
      expect.stringContaining('stations[0].limits[0].aboveC must be a number; it is "140"'),
      expect.stringContaining('instruments[1].id "pot-mid" already stands at instruments[0]'),
      expect.stringContaining('instruments[0].station names the station "pot-9", which does not exist'),
    ])
  })

  it('that is valid hears nothing', () => {
    expect(complaintsOf(smallFoundry())).toEqual([])
  })

  it('that is no document at all is told so', () => {
    for (const nonsense of [null, 7, [], { stations: 7 }, { stations: [null, 3], instruments: 'x' }])
      expect(complaintsOf(nonsense).length).toBeGreaterThan(0)
  })
})
