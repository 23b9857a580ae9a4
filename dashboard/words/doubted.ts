/** The evidence of a doubt as an instrument's page lists it: what was measured, and what it was told apart from. Pure. */
import type { DoubtKind, Evidence } from '../../shared/contract/index.ts'
import { duration, type Speech, temperature, temperatureDifference } from '../../shared/words/index.ts'

/** What each kind is called where it was considered and is not it. */
const names: Record<DoubtKind, string> = {
  emissivity: 'an emissivity setting',
  'sees-metal': 'bright metal in its view',
  'spot-too-large': 'a spot too large',
  'sees-skin': 'a skin on still wax',
  blind: 'a lid, vapour or a film',
  'at-the-wall': 'a touch of the wall',
  'out-of-wax': 'a probe in the air',
  'in-solid': 'a solid plug',
  'not-stirred': 'unstirred wax',
  ordering: 'a rest between 250 and 550 °C',
  ageing: 'ageing',
  moved: 'a probe that was moved',
  reversed: 'reversed leads',
  'wrong-type': 'a wrong type',
  'open-circuit': 'an open circuit',
  stuck: 'a stuck value',
  'noise-vanished': 'a loss of noise',
  'noise-exploded': 'too much noise',
  'clock-apart': 'a clock that runs apart',
}

/** Measures in °C that are temperatures; every other one is a difference. */
const temperatures: ReadonlySet<string> = new Set(['rest at', 'taken at', 'pinned at'])
const minuteMs = 60_000

function figure({ what, unit }: Evidence, value: number, speech: Speech): string {
  if (unit === '°C') return temperatures.has(what) ? temperature(value, speech) : temperatureDifference(value, speech)
  if (unit === 'min' || unit === 'h')
    return `${value < 0 ? '−' : ''}${duration(value * minuteMs * (unit === 'h' ? 60 : 1))}`
  if (unit === '' && what.includes('share')) return `${(value * 100).toFixed(0).replace('-', '−')} %`
  const digits = Math.abs(value) >= 100 ? value.toFixed(0) : String(Number(value.toPrecision(3)))
  return `${digits.replace('-', '−')}${unit === '' ? '' : ` ${unit}`}`
}

/** Below its twin by 9 °C · noise ratio 0.1, else 1. */
export function evidenceTold(evidence: Evidence, speech: Speech): string {
  const usual =
    evidence.usual === undefined || evidence.usual === 0 ? '' : `, else ${figure(evidence, evidence.usual, speech)}`
  return `${evidence.what} ${figure(evidence, evidence.value, speech)}${usual}`
}

/** A probe that was moved (greatest step 1 °C). */
export function ruledOutTold({ kind, evidence }: { kind: DoubtKind; evidence: Evidence }, speech: Speech): string {
  return `${names[kind]} (${evidenceTold(evidence, speech)})`
}
