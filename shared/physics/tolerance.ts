/** How far a new thermocouple may be off by the class it was bought in, and what that leaves in doubt about a temperature. */
import type { ThermocoupleType } from './its90.ts'
import { junctionGain } from './junction.ts'

/** The classes of each standard, by its own names. */
export interface Classes {
  'iec-60584': 1 | 2 | 3
  'astm-e230': 'standard' | 'special'
}

/** From one temperature to another, °C, the larger of a fixed limit, °C, and a share of the temperature in °C. */
interface Limit {
  fromC: number
  toC: number
  fixedC: number
  share: number
  /** Where the share counts from here and is added to the fixed limit. */
  addedAboveC?: number
}

type Table<Class extends string | number> = Readonly<Record<Class, Partial<Record<ThermocoupleType, readonly Limit[]>>>>

const limit = (fromC: number, toC: number, fixedC: number, share: number): Limit => ({ fromC, toC, fixedC, share })

const nobleClass1 = [limit(0, 1_100, 1, 0), { ...limit(1_100, 1_600, 1, 0.003), addedAboveC: 1_100 }]
const nobleClass2 = [limit(0, 1_600, 1.5, 0.0025)]

/**
 * IEC 60584-1:2013 (before: 60584-2), new and unused wire, reference junction 0 °C. Numbers as facts, from reproductions: T, E, J and K
 * agree in three, N, R, S and B were seen in two or fewer. One reproduction prints N class 3, B class 1 and R/S class 1 otherwise
 * ("1 + (t − 1000)·0.003"): taken for misprints.
 */
const iec: Table<Classes['iec-60584']> = {
  1: {
    K: [limit(-40, 1_000, 1.5, 0.004)],
    N: [limit(-40, 1_000, 1.5, 0.004)],
    E: [limit(-40, 800, 1.5, 0.004)],
    J: [limit(-40, 750, 1.5, 0.004)],
    T: [limit(-40, 350, 0.5, 0.004)],
    R: nobleClass1,
    S: nobleClass1,
  },
  2: {
    K: [limit(-40, 1_200, 2.5, 0.0075)],
    N: [limit(-40, 1_200, 2.5, 0.0075)],
    E: [limit(-40, 900, 2.5, 0.0075)],
    J: [limit(-40, 750, 2.5, 0.0075)],
    T: [limit(-40, 350, 1, 0.0075)],
    R: nobleClass2,
    S: nobleClass2,
    B: [limit(600, 1_700, 0, 0.0025)],
  },
  3: {
    K: [limit(-200, 40, 2.5, 0.015)],
    N: [limit(-200, 40, 2.5, 0.015)],
    E: [limit(-200, 40, 2.5, 0.015)],
    T: [limit(-200, 40, 1, 0.015)],
    B: [limit(600, 1_700, 4, 0.005)],
  },
}

/**
 * ASTM E230/E230M-12, new wire, reference junction 0 °C. Numbers as facts, from a one-page summary and a wire-maker's table.
 * K below 0 °C: two summaries print 2 %, one prints 1 %; the wider is carried, because it promises less.
 */
const astm: Table<Classes['astm-e230']> = {
  standard: {
    K: [limit(0, 1_260, 2.2, 0.0075), limit(-200, 0, 2.2, 0.02)],
    N: [limit(0, 1_260, 2.2, 0.0075)],
    J: [limit(0, 760, 2.2, 0.0075)],
    E: [limit(0, 870, 1.7, 0.005), limit(-200, 0, 1.7, 0.01)],
    T: [limit(0, 370, 1, 0.0075), limit(-200, 0, 1, 0.015)],
    R: [limit(0, 1_480, 1.5, 0.0025)],
    S: [limit(0, 1_480, 1.5, 0.0025)],
    B: [limit(870, 1_700, 0, 0.005)],
  },
  special: {
    K: [limit(0, 1_260, 1.1, 0.004)],
    N: [limit(0, 1_260, 1.1, 0.004)],
    J: [limit(0, 760, 1.1, 0.004)],
    E: [limit(0, 870, 1, 0.004)],
    T: [limit(0, 370, 0.5, 0.004)],
    R: [limit(0, 1_480, 0.6, 0.001)],
    S: [limit(0, 1_480, 0.6, 0.001)],
    B: [limit(870, 1_700, 0, 0.0025)],
  },
}

const tables: { [Standard in keyof Classes]: Table<Classes[Standard]> } = { 'iec-60584': iec, 'astm-e230': astm }

/**
 * The tolerance, ± °C, of a new thermocouple of this class at `temperatureC`: the larger of the fixed and the proportional limit.
 * Range: that of its class, as in the tables above; outside, and where a type has no such class, null.
 * Measured agreement with the rows as reproduced: exact but next to printed break temperatures, which are rounded to whole degrees
 * (333 for 333.3 °C): there within 0.006 °C. What has been in a kiln is no longer new. No conformity is claimed.
 */
export function toleranceC<Standard extends keyof Classes>(
  standard: Standard,
  grade: Classes[Standard],
  type: ThermocoupleType,
  temperatureC: number,
): number | null {
  const limits = (tables[standard] as Table<Classes[Standard]>)[grade][type]
  const found = limits?.find(({ fromC, toC }) => temperatureC >= fromC && temperatureC <= toC)
  if (found === undefined) return null
  const { fixedC, share, addedAboveC } = found
  if (addedAboveC !== undefined) return fixedC + share * (temperatureC - addedAboveC)
  return Math.max(fixedC, share * Math.abs(temperatureC))
}

/** Standard deviation of what may lie anywhere between −`half` and +`half` with equal right (JCGM 100:2008, 4.3.7). */
export function uniformU(half: number): number {
  return half / Math.sqrt(3)
}

export interface ThermocoupleDoubts {
  type: ThermocoupleType
  temperatureC: number
  /** By its class, ± °C; null where nobody knows the class or the temperature lies outside it. */
  toleranceC: number | null
  /** Standard uncertainty of its last check at this temperature, °C; null where there is none. */
  checkUC: number | null
  /** Its cold end and the standard uncertainty of that, °C; null where the instrument compensates by itself. */
  junction: { atC: number; uC: number } | null
}

/**
 * Standard uncertainty, °C, of a thermocouple's temperature: of wire or check, and of the cold end, which counts S(cold)/S(hot) times.
 * A check replaces the tolerance, because it has measured what the tolerance only bounds. Null where neither is known: then nobody
 * can say how sure it is; also where either end lies outside the range of its type.
 * Source: JCGM 100:2008, 4.3.7 (uniform between the limits) and 5.1.2 (parts independent).
 */
export function thermocoupleUncertaintyC(doubts: ThermocoupleDoubts): number | null {
  const { type, temperatureC, junction } = doubts
  const wire = doubts.checkUC ?? (doubts.toleranceC === null ? null : uniformU(doubts.toleranceC))
  if (wire === null) return null
  if (junction === null) return wire
  const gain = junctionGain(type, temperatureC, junction.atC)
  return gain === null ? null : Math.hypot(wire, gain * junction.uC)
}
