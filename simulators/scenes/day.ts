/** An ordinary day in the foundry: when pots are on, lids lifted, kilns fired. Calm when all is well. */
import type { EpochMs } from '../../shared/time.ts'
import { minutesOf, type SiteTime } from '../site-time.ts'

export interface PotHabit {
  on: boolean
  setPointC: number
  lidOn: boolean
  stirred: boolean
}

type Hours = readonly [from: string, to: string][]

interface PotDay {
  setPointC: number
  on: Hours
  lidOff: Hours
  stirred: Hours
}

/** W1 is on a permitted timer; everything else is switched by hand. */
const potDays: Record<string, PotDay> = {
  W1: {
    setPointC: 112,
    on: [
      ['04:45', '09:00'],
      ['11:30', '13:10'],
    ],
    lidOff: [['07:00', '16:30']],
    stirred: [['07:00', '12:00']],
  },
  W2: {
    setPointC: 112,
    on: [
      ['05:40', '07:40'],
      ['11:40', '13:10'],
    ],
    lidOff: [
      ['06:50', '11:30'],
      ['12:40', '16:30'],
    ],
    stirred: [
      ['06:40', '10:40'],
      ['12:30', '16:00'],
    ],
  },
  W3: { setPointC: 76, on: [['05:00', '16:30']], lidOff: [['07:00', '16:30']], stirred: [['07:00', '16:30']] },
  W4: { setPointC: 86, on: [['06:00', '16:20']], lidOff: [['07:30', '16:00']], stirred: [['07:30', '16:00']] },
  W5: { setPointC: 135, on: [['06:50', '16:00']], lidOff: [['07:30', '16:00']], stirred: [] },
}

function within(minute: number, hours: Hours): boolean {
  return hours.some(([from, to]) => minute >= minutesOf(from) && minute < minutesOf(to))
}

export function potHabit(station: string, at: EpochMs, site: SiteTime): PotHabit {
  const day = potDays[station]
  const minute = site.minuteOfDay(at)
  if (day === undefined) return { on: false, setPointC: 20, lidOn: true, stirred: false }
  return {
    on: within(minute, day.on),
    setPointC: day.setPointC,
    lidOn: !within(minute, day.lidOff),
    stirred: within(minute, day.stirred),
  }
}

/** When each kiln's programme is started. */
export const kilnStarts: Readonly<Record<string, string>> = { K1: '08:00', K2: '17:30' }

/** K1 is opened for a minute to load it hot; K2 stands open through the afternoon to cool after the pour. */
export function kilnDoorOpen(station: string, at: EpochMs, site: SiteTime): boolean {
  const minute = site.minuteOfDay(at)
  if (station === 'K1')
    return within(minute, [
      ['11:30', '11:31'],
      ['16:20', '16:24'],
    ])
  return within(minute, [['14:00', '17:20']])
}

const wave = (minute: number, peakMinute: number) => Math.cos(((minute - peakMinute) / 1_440) * 2 * Math.PI)

/** The workshop and the air of the corridor through the day. */
export function corridorAir(at: EpochMs, site: SiteTime): { airC: number; ratio: number } {
  const minute = site.minuteOfDay(at)
  return { airC: 21.2 + 1.2 * wave(minute, 15 * 60), ratio: 0.011 + 0.0004 * wave(minute, 22 * 60) }
}

export function yardC(at: EpochMs, site: SiteTime): number {
  return 12 + 4 * wave(site.minuteOfDay(at), 14.5 * 60)
}
