/** What an instrument can measure, in which unit it is stored, and what can still be a value of it. */

export const quantities = [
  'temperature',
  'humidity',
  'air-speed',
  'pressure',
  'contact',
  'current',
  'emf',
  'junction',
  /** A number whose unit nobody has told yet. */
  'number',
  /** Derived from a climate probe's temperature and humidity; nobody sends them. */
  'dew-point',
  'wet-bulb',
] as const

export type Quantity = (typeof quantities)[number]

/** Unit in which each quantity is stored and spoken of over HTTP. `contact` is 1 closed, 0 open. */
export const unitOf: Record<Quantity, string> = {
  temperature: '°C',
  humidity: '%',
  'air-speed': 'm/s',
  pressure: 'Pa',
  contact: '',
  current: 'A',
  emf: 'µV',
  junction: '°C',
  number: '',
  'dew-point': '°C',
  'wet-bulb': '°C',
}

/** Outside these a number is kept, but as *bad*: no instrument of the trade can mean it.
 *  Temperature: below liquid helium or above what a type B thermocouple survives (1820 °C, NIST SRD 60). */
export const plausible: Record<Quantity, readonly [min: number, max: number]> = {
  temperature: [-270, 1820],
  humidity: [-2, 105],
  'air-speed': [0, 100],
  pressure: [0, 2_000_000],
  contact: [0, 1],
  current: [-1_000, 1_000],
  emf: [-10_000, 80_000],
  junction: [-60, 200],
  number: [-1e12, 1e12],
  'dew-point': [-100, 200],
  'wet-bulb': [-100, 200],
}

/** What the gateway itself makes of what was sent: shown and charted, not judged. */
export const derivedQuantities: ReadonlySet<Quantity> = new Set<Quantity>(['dew-point', 'wet-bulb'])

/** Numbers that common sensor chips send when they cannot measure (common practice, no source): never a temperature. */
export const sensorCodes: ReadonlySet<number> = new Set([-127, 32767, -32768, 999.9, -999, 9999])
