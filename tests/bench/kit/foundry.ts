/** Sixty-four series in eight pots, each under a ceiling, a window and a rate limit, each with a correction: every reading is judged by all of it. */
import { instrumentOf, seriesCount } from './packets.ts'

const stationCount = 8

export function benchFoundry(): unknown {
  return {
    site: { name: 'Bench', timeZone: 'UTC', elevationM: 0, invented: true },
    stations: Array.from({ length: stationCount }, (_, i) => ({
      id: `pot-${i}`,
      name: `Pot ${i}`,
      kind: 'pot',
      limits: [
        { kind: 'ceiling', aboveC: 150 },
        { kind: 'window', from: 5, to: 120 },
        { kind: 'rise', cPerMinuteMax: 1e2, overS: 120 },
      ],
    })),
    instruments: Array.from({ length: seriesCount }, (_, i) => ({
      id: instrumentOf(i),
      name: `Probe ${i}`,
      kind: 'thermocouple',
      station: `pot-${i % stationCount}`,
      intervalS: 10,
      correction: [
        { readsC: 0, isC: 0.2 },
        { readsC: 100, isC: 100.4 },
        { readsC: 150, isC: 150.3 },
      ],
    })),
    recipes: [],
  }
}
