/** What probes and mains do to an idle kiln's readings: nobody heats, and the numbers say something else, or nothing. */
import type { Chance } from '../lies/chance.ts'

const hour = 3_600
const day = 24 * hour

const kinds = ['spikes', 'pinned', 'noisy', 'offset', 'fahrenheit', 'reversed', 'bad', 'cut'] as const

export interface Fault {
  kind: (typeof kinds)[number]
  /** s since the year began. */
  from: number
  to: number
  /** °C: where it is pinned, how far it is off, how wild it is. */
  c: number
}

export function faultsOf(c: Chance): Fault[] {
  return Array.from({ length: c.whole(15, 40) }, () => {
    const kind = c.pick([...kinds, 'cut', 'cut'] as const)
    const from = c.between(0, 360 * day)
    const long = kind === 'fahrenheit' ? c.between(1, 6) * day : c.between(0.3, 14) * hour
    const strength = { pinned: c.between(150, 1_372), noisy: c.between(20, 150), offset: c.between(5, 40) }
    return { kind, from, to: from + long, c: kind in strength ? strength[kind as keyof typeof strength] : 0 }
  })
}

/** What is read instead of `c`: null where the reading is bad, undefined where none comes. */
export function readAs(c: number, fault: Fault | undefined, chance: Chance): number | null | undefined {
  switch (fault?.kind) {
    case undefined:
      return c
    case 'spikes':
      return chance.often(0.03) ? chance.pick([-40, 0, 420, 800, 1_370]) : c
    case 'pinned':
      return fault.c
    case 'noisy':
      return c + fault.c * chance.normal()
    case 'offset':
      return c + fault.c
    case 'fahrenheit':
      return 1.8 * c + 32
    case 'reversed':
      return 40 - c
    case 'bad':
      return chance.often(0.8) ? null : c
    case 'cut':
      return undefined
  }
}
