/** What happened in a room, in words: the cause, what speaks for it, and what it was not. */
import type { CauseEvidence, NamedCause, NightCauseKind } from '../contract/index.ts'
import { minuteMs } from '../time.ts'
import { count, duration, fromTo, listed, percent, sentenceCase, type Speech, temperatureDifference } from './speech.ts'

const machineWords = { dehumidifier: 'the dehumidifier', cooling: 'the cooling', heating: 'the heating' } as const

/** A cause as part of a sentence, with its room: `the door of D2 stood open from 21:40 to 23:10`. */
export function causeSays(cause: NamedCause, station: string, speech: Speech): string {
  const room = speech.nameOf(station)
  const when = fromTo(cause.from, cause.to, speech)
  const perhaps = cause.confidence === 'sure' ? '' : 'probably '
  const again = cause.evidence.some((e) => e.is === 'after-power-cut')
  const didNot = (machine: string) =>
    again
      ? `${perhaps}${machine} of ${room} did not start again after the power cut (${when})`
      : `${perhaps}${machine} of ${room} did not run ${when}`
  switch (cause.kind) {
    case 'dehumidifier':
    case 'cooling':
    case 'heating':
      return didNot(machineWords[cause.kind])
    case 'door':
      return `${perhaps}the door of ${room} stood open ${when}`
    case 'fan':
      return `${perhaps}the fan of ${room} stood still ${when}`
    case 'power-cut':
      return `${perhaps}the power was gone ${when}`
    case 'sensor':
      return `${perhaps}the probe of ${room} could not be believed ${when}`
  }
}

const degrees = (value: number, speech: Speech) => temperatureDifference(Math.round(10 * Math.abs(value)) / 10, speech)
const upDown = (value: number) => (value < 0 ? 'fell' : 'rose')

/** One reason, as a clause. */
export function evidenceSays({ is, value }: CauseEvidence, speech: Speech): string {
  switch (is) {
    case 'dew-point-step':
      return `the dew point ${upDown(value)} by ${degrees(value, speech)} within minutes`
    case 'dew-point-ramp':
      return `the dew point went on rising by ${degrees(value, speech)} an hour`
    case 'dew-point-flat':
      return value === 0 ? 'the dew point stayed' : `the dew point moved by ${degrees(value, speech)} only`
    case 'dew-point-follows':
      return `the dew point only followed it, by ${degrees(value, speech)}`
    case 'temperature-step':
      return `the air ${value < 0 ? 'cooled' : 'warmed'} by ${degrees(value, speech)} within minutes`
    case 'temperature-ramp':
      return `the air went on ${value < 0 ? 'cooling' : 'warming'} by ${degrees(value, speech)} an hour`
    case 'temperature-flat':
      return value === 0 ? 'the air stayed as warm' : `the air moved by ${degrees(value, speech)} only`
    case 'toward-corridor':
      return 'it moved toward the air outside the door'
    case 'away-from-corridor':
      return 'it did not move toward the air outside the door'
    case 'door-open':
      return `the door’s contact said open for ${duration(value * minuteMs)}`
    case 'fan-still':
      return `the fan drew no current for ${duration(value * minuteMs)}`
    case 'wax-warmer':
      return `the wax lost ${percent(value)} of the wet bulb’s chill at once`
    case 'many-silent':
      return `${count(value, 'instrument')} fell silent together`
    case 'other-probe-differs':
      return `the other probe was ${degrees(value, speech)} apart`
    case 'pinned':
      return `it stood at ${value.toFixed(0)} % humidity, where a wet probe ends`
    case 'stuck':
      return `it repeated the same value for ${duration(value * minuteMs)}`
    case 'gateway-off':
      return 'Cirewatch itself did not run'
    case 'recovered':
      return `it came back by two thirds within ${duration(value * minuteMs)}`
    case 'after-power-cut':
      return 'it began with the power cut'
  }
}

const ruledOutWords: Record<NightCauseKind, string> = {
  door: 'no open door',
  dehumidifier: 'not the dehumidifier',
  cooling: 'not the cooling',
  heating: 'not the heating',
  fan: 'not the fan',
  'power-cut': 'no power cut',
  sensor: 'not the probe',
}

/** What speaks for it, and what it is not. */
export function becauseSays(cause: NamedCause, speech: Speech): string {
  const because = listed(
    cause.evidence.map((e) => evidenceSays(e, speech)),
    4,
  )
  const not = cause.ruledOut.map((r) => `${ruledOutWords[r.kind]} (${evidenceSays(r.because, speech)})`)
  return `${sentenceCase(because)}.${not.length > 0 ? ` ${sentenceCase(listed(not, 3))}.` : ''}`
}
