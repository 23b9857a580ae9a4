/** What an instrument is, where it sits, how sure it is and when it is to be checked again: the sentences of its pages. Pure. */
import type {
  CheckDone,
  CheckReference,
  Instrument,
  InstrumentKind,
  InstrumentLife,
  InstrumentNow,
  Place,
  ThermocoupleType,
  ToleranceClass,
} from '../contract/index.ts'
import { dayMs, type EpochMs } from '../time.ts'
import { longDate } from './keeping.ts'
import { count, day, type Speech, sentenceCase, temperature, temperatureDifference } from './speech.ts'

export const instrumentKindWords: Record<InstrumentKind, string> = {
  thermocouple: 'Temperature probe',
  infrared: 'Infrared thermometer',
  climate: 'Climate probe',
  'air-speed': 'Air-speed probe',
  contact: 'Contact',
  current: 'Current sensor',
}

export const placeWords: Record<Place, string> = {
  'wax-middle': 'in the wax, at mid-depth',
  'wax-bottom': 'in the wax, near the bottom',
  'wax-top': 'in the wax, near the top',
  'wax-surface': 'looks at the wax from above',
  'kiln-air': 'in the kiln’s air',
  'kiln-load': 'in the load',
  'room-air': 'in the room’s air',
  'test-piece': 'in a test piece',
  mould: 'in a mould',
  heater: 'in the heater’s supply',
  button: 'a button at the bench',
}

const classWords: Record<ToleranceClass, string> = {
  'iec-1': 'IEC 60584 class 1',
  'iec-2': 'IEC 60584 class 2',
  'iec-3': 'IEC 60584 class 3',
  'astm-standard': 'ASTM E230 standard',
  'astm-special': 'ASTM E230 special',
}

/** In the wax, at mid-depth · off the north wall. */
export function sits({ place, position }: Pick<Instrument, 'place' | 'position'>): string {
  return [place === undefined ? '' : sentenceCase(placeWords[place]), position ?? '']
    .filter((w) => w !== '')
    .join(' · ')
}

/** Tenths and below are kept: an uncertainty is told to two figures. */
export function plusMinus(expandedC: number, speech: Pick<Speech, 'unit'>): string {
  const value = differenceIn(expandedC, speech)
  return `± ${value < 0.995 ? value.toFixed(2) : value < 9.95 ? value.toFixed(1) : value.toFixed(0)} °${speech.unit}`
}

type Sure = Pick<InstrumentNow, 'sureness' | 'toleranceClass' | 'calibrations'>

/** How sure its newest temperature is, and on whose word. */
export function sureSays(
  { sureness, toleranceClass, calibrations }: Sure,
  speech: Speech,
): { figure: string; word: string } {
  const figure = sureness.expandedC === null ? 'Not known' : plusMinus(sureness.expandedC, speech)
  const last = calibrations?.at(-1)
  switch (sureness.from) {
    case 'check':
      return {
        figure,
        word: last === undefined ? 'by a calibration' : `by its calibration of ${longDate(last.at, speech)}`,
      }
    case 'class':
      return {
        figure,
        word: `by its class${toleranceClass ? `, ${classWords[toleranceClass]}` : ''}: of new wire only`,
      }
    case 'infrared':
      return { figure, word: 'by emissivity and background' }
    case 'unknown':
      return { figure, word: 'no check, no class' }
  }
}

export interface DueTold {
  isOverdue: boolean
  says: string
}

/** When it is to be checked again. */
export function dueSays(
  { dueAt, checkedAt }: Pick<InstrumentNow, 'dueAt' | 'checkedAt'>,
  now: EpochMs,
  speech: Speech,
): DueTold {
  const last = checkedAt === null ? 'never checked' : `last checked ${longDate(checkedAt, speech)}`
  if (dueAt === null)
    return { isOverdue: false, says: checkedAt === null ? 'No check is asked for' : sentenceCase(last) }
  if (dueAt > now)
    return {
      isOverdue: false,
      says: `${dueAt - now < 340 * dayMs ? day(dueAt, speech) : longDate(dueAt, speech)}, ${last}`,
    }
  const days = Math.floor((now - dueAt) / dayMs)
  return { isOverdue: true, says: `${days === 0 ? 'since today' : `by ${count(days, 'day')}`}, ${last}` }
}

/** The headline of the whole house's instruments, and what stands behind it. */
export function instrumentsSay(
  all: readonly Pick<InstrumentNow, 'doubts' | 'dueAt'>[],
  now: EpochMs,
): { first: string; behind: string } {
  if (all.length === 0) return { first: 'No instrument has a place yet.', behind: '' }
  const doubted = all.filter((one) => one.doubts.length > 0).length
  const overdue = all.filter((one) => one.dueAt !== null && one.dueAt <= now).length
  const unasked = all.filter((one) => one.dueAt === null).length
  const behind = [
    overdue > 0 ? `${count(overdue, 'check')} ${overdue === 1 ? 'is' : 'are'} overdue` : '',
    unasked === all.length
      ? 'no checks are asked for'
      : unasked > 0
        ? `${count(unasked, 'instrument')} ${unasked === 1 ? 'has' : 'have'} no date for a check`
        : '',
  ]
  const told = behind.filter((part) => part !== '').join(', ')
  return {
    first:
      doubted > 0
        ? `${sentenceCase(count(doubted, 'instrument'))} of ${all.length} ${doubted === 1 ? 'is' : 'are'} doubted.`
        : 'No instrument is doubted.',
    behind: told === '' ? '' : `${sentenceCase(told)}.`,
  }
}

export const referenceWords: Record<CheckReference, { name: string; how: string }> = {
  'ice-point': {
    name: 'Ice point',
    how: 'Crushed ice from clean water, just wet, stirred; the probe deep in its middle.',
  },
  'boiling-point': {
    name: 'Boiling point',
    how: 'Clean water at a rolling boil; the probe deep, off the bottom. The height of the site is taken into account.',
  },
  probe: { name: 'Reference probe', how: 'Both side by side at one depth, in something that stands still.' },
}

/** Reads 0.6 °C too low. */
export function offSays(differenceC: number, speech: Speech): string {
  if (Math.abs(differenceIn(differenceC, speech)) < 0.05) return 'reads as it is'
  return `reads ${temperatureDifference(Math.abs(differenceC), speech)} too ${differenceC < 0 ? 'low' : 'high'}`
}

/** A difference in the listener's degrees: 1 °C is 1.8 °F. */
export function differenceIn(differenceC: number, speech: Pick<Speech, 'unit'>): number {
  return speech.unit === 'F' ? (differenceC * 9) / 5 : differenceC
}

/** With its sign, a true minus. */
export function signed(differenceC: number, speech: Pick<Speech, 'unit'>): string {
  return signedIn(differenceIn(differenceC, speech), speech)
}

/** The same of what is in the listener's degrees already. */
export function signedIn(value: number, speech: Pick<Speech, 'unit'>): string {
  const text = Math.abs(value).toFixed(1)
  return `${text === '0.0' ? '±' : value < 0 ? '−' : '+'}${text} °${speech.unit}`
}

export function checkSays(
  check: Pick<CheckDone, 'readsC' | 'isC' | 'uC' | 'reference' | 'probe'>,
  speech: Speech,
): string {
  const against =
    check.reference === 'probe' && check.probe
      ? speech.nameOf(check.probe)
      : referenceWords[check.reference].name.toLowerCase()
  return `Against ${against}: read ${temperature(check.readsC, speech)} where it was ${temperature(check.isC, speech)}, ${plusMinus(2 * check.uC, speech)}.`
}

/** How far it went from its twin, firing by firing: the differences of one twin at one temperature, the oldest first. */
export function apartSays(
  rows: readonly { firing: number; against: string; bandC: number; differenceC: number }[],
  speech: Speech,
): string {
  const [first, last] = [rows[0], rows.at(-1)]
  if (!first || !last) return 'It has no twin to be held against yet.'
  const at = `Against ${speech.nameOf(last.against)} at about ${temperature(last.bandC, speech).replace('.0', '')}`
  if (rows.length === 1)
    return `${at}: ${signed(last.differenceC, speech)} in firing ${last.firing}. One firing tells no course.`
  const went = `${at}: ${signed(first.differenceC, speech)} in firing ${first.firing}, ${signed(last.differenceC, speech)} in firing ${last.firing}.`
  const moved = Math.abs(last.differenceC) - Math.abs(first.differenceC)
  if (Math.abs(moved) < 0.5) return `${went} It keeps its distance.`
  return `${went} ${temperatureDifference(Math.abs(moved), speech)} ${moved > 0 ? 'further apart' : 'closer'} than at first.`
}

/** What heat did to it; nothing where its station has seen no firing of it. */
export function lifeSays(
  life: Pick<InstrumentLife, 'hoursAbove800' | 'passes250to550' | 'hoursAt250to550' | 'firings'>,
  type: ThermocoupleType | undefined,
  speech: Speech,
): string[] {
  if (life.firings === 0 && life.hoursAbove800 === 0 && life.passes250to550 === 0) return []
  const at = (celsius: number) => temperature(celsius, speech)
  const span = `${at(250).replace(` °${speech.unit}`, '')}–${at(550)}`
  // What is told of type K is of no other; where nobody told the type, it is most often this one (common practice, no source).
  const ofK = (sentence: string) => (type === undefined || type === 'K' ? ` ${sentence}` : '')
  return [
    `${sentenceCase(count(life.firings, 'firing'))}, ${hoursWord(life.hoursAbove800)} above ${at(800)}.${ofK('In the thin oxygen of a burnout type K comes to read low there, for good, and the kiln runs hotter than it shows.')}`,
    `${sentenceCase(count(life.passes250to550, 'pass', 'passes'))} through ${span}, ${hoursWord(life.hoursAt250to550)} in it.${ofK(`There type K reads higher by the hour; a heat above ${at(650)} sets it back.`)}`,
  ]
}

const hoursWord = (hours: number) => (hours < 9.95 ? `${hours.toFixed(1)} h` : `${Math.round(hours)} h`)

export const lifeAdvice =
  'Never move a probe silently: write down when and where, or its new place looks like a fault. Where it parts from its twin, inspect or replace it; do not trim it.'
