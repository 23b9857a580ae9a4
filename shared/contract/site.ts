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

export const Site = z.strictObject({
  name: Label,
  timeZone: z.string().refine(isTimeZone, 'is not an IANA time zone such as Europe/London'),
  /** Height above sea level, m: air pressure for wet bulb and boiling point comes from it. */
  elevationM: z.number().min(-430).max(6_000),
  /** True marks every screen as an invented scenario. */
  invented: z.boolean().default(false),
})
export type Site = z.infer<typeof Site>
