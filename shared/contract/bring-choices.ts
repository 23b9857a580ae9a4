/** How a logger's table may be written: the choices of a plan. Apart from its schema, so that a screen can offer them without carrying it. */
import type { Quantity } from './quantity.ts'

export const bringEncodings = ['utf-8', 'utf-16le', 'utf-16be', 'windows-1252'] as const
/** What parts the cells of a line; `json-lines` is one object a line. */
export const bringDelimiters = [',', ';', '\t', '|', 'json-lines'] as const
/** In which order a date is written, or what is counted instead. `serial-days` are the days of a spreadsheet, from 30 December 1899 on. */
export const dateOrders = ['ymd', 'dmy', 'mdy', 'epoch-s', 'epoch-ms', 'serial-days'] as const
export type DateOrder = (typeof dateOrders)[number]

/** Units a file may use for what can be brought in; the first is the one it is stored in. */
export const bringUnits = {
  temperature: ['C', 'F', 'K'],
  humidity: ['%'],
  'air-speed': ['m/s', 'km/h'],
  pressure: ['Pa', 'hPa', 'kPa', 'mbar', 'bar'],
  contact: ['closed'],
  current: ['A', 'mA'],
  emf: ['uV', 'mV'],
  junction: ['C', 'F', 'K'],
  number: [''],
  'dew-point': ['C', 'F', 'K'],
  'wet-bulb': ['C', 'F', 'K'],
} as const satisfies Record<Quantity, readonly string[]>
export const allBringUnits = [
  'C',
  'F',
  'K',
  '%',
  'm/s',
  'km/h',
  'Pa',
  'hPa',
  'kPa',
  'mbar',
  'bar',
  'closed',
  'A',
  'mA',
  'uV',
  'mV',
  '',
] as const
export type BringUnit = (typeof allBringUnits)[number]
