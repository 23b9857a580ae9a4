/** The site: the foundry itself, its clock zone and its height above the sea. */
import { z } from 'zod'
import { Label } from './name.ts'

export function isTimeZone(zone: string): boolean {
  try {
    new Intl.DateTimeFormat('en', { timeZone: zone })
    return zone.includes('/') || zone === 'UTC'
  } catch {
    return false
  }
}

/** 17:30, never 5:30 pm. */
const timeOfDay = /^([01]\d|2[0-3]):[0-5]\d$/
const timeOfDaySays = 'must be a time of day such as 17:30'

export const nightHoursDefault = { dusk: '17:30', dawn: '07:30' } as const

export const Site = z.strictObject({
  name: Label,
  timeZone: z.string().refine(isTimeZone, 'is not an IANA time zone such as Europe/London'),
  /** Height above sea level, m: air pressure for wet bulb and boiling point comes from it. */
  elevationM: z.number().min(-430).max(6_000),
  /** The dark hours of the house, as times of day: what the night ribbon shows. */
  night: z
    .strictObject({
      dusk: z.string().regex(timeOfDay, timeOfDaySays),
      dawn: z.string().regex(timeOfDay, timeOfDaySays),
    })
    .refine((n) => n.dusk > '12:00' && n.dawn < '12:00', 'needs `dusk` after noon and `dawn` before it')
    .optional(),
  /** True marks every screen as an invented scenario. */
  invented: z.boolean().default(false),
})
export type Site = z.infer<typeof Site>
