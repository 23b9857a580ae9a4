/** The parts of a night in words: excursions, outages, pieces, and who acknowledged what. */
import type { NightExcursion, NightLine, NightOutage, NightPiece, NightSpan, SeenBy } from '../contract/index.ts'
import type { Spelt } from '../series/spells.ts'
import { type DurationMs, minuteMs } from '../time.ts'
import {
  amount,
  count,
  day,
  duration,
  fromTo,
  listed,
  numberWord,
  sentenceCase,
  type Speech,
  temperatureDifference,
  timeOfDay,
} from './speech.ts'

/** So short is no disturbance of a night. Common practice, no source. */
export const shortMs = 10 * minuteMs
/** What stood unseen for so long is not known to be well. Common practice, no source. */
const unseenMs = 30 * minuteMs

const tenths = (value: number, speech: Speech) => temperatureDifference(Math.round(10 * Math.abs(value)) / 10, speech)

export type NightSpell = Spelt<NightExcursion>

export function peakText(line: NightLine, spell: NightSpell, speech: Speech): string {
  return `${spell.side === 'above' ? 'highest' : 'lowest'} ${amount(line.quantity, spell.peak, speech).replace(' humidity', '')}`
}

export const quantityWord = { temperature: 'temperature', humidity: 'humidity' } as const

/** `D2 humidity above its band 21:47–23:31 (1 h 44 min), highest 63.1 %`. */
export function spellSays(station: string, line: NightLine, spell: NightSpell, speech: Speech): string {
  const isWhole = spell.parts[0]?.beginSeen === true && spell.parts.at(-1)?.endSeen === true
  const parts = spell.parts.length > 1 ? ` in ${spell.parts.length} parts` : ''
  return `${speech.nameOf(station)} ${quantityWord[line.quantity]} ${spell.side} its band ${timeOfDay(spell.from, speech)}–${timeOfDay(spell.to, speech)} (${duration(spell.outMs)}${parts}${isWhole ? '' : ', or longer'}), ${peakText(line, spell, speech)}`
}

/** Everybody who saw any of it, each once. */
export function spellSeenBy(spell: NightSpell): SeenBy[] {
  const all = spell.parts.flatMap((p) => p.seenBy).sort((a, b) => a.at - b.at)
  return all.filter((s, i) => all.findIndex((o) => o.by === s.by) === i)
}

/** The cause of its first part that has one. */
export function spellCause(spell: NightSpell): number | null {
  return spell.parts.find((p) => p.cause !== null)?.cause ?? null
}

/** Degree-minutes, or percent-minutes, as they are written. */
export function beyondSays(line: Pick<NightLine, 'quantity'>, beyond: number, speech: Pick<Speech, 'unit'>): string {
  const inUnit = line.quantity === 'temperature' && speech.unit === 'F' ? beyond * 1.8 : beyond
  const unit = line.quantity === 'humidity' ? '%' : `°${speech.unit}`
  return `${inUnit < 10 ? inUnit.toFixed(1) : inUnit.toFixed(0)} ${unit}·min`
}

export function seenBySays(seenBy: readonly SeenBy[], speech: Speech): string {
  if (seenBy.length === 0) return 'acknowledged by nobody'
  return `acknowledged by ${listed(
    seenBy.map((s) => `${s.by} at ${timeOfDay(s.at, speech)}`),
    2,
  )}`
}

/** `Night of Tue 24 Nov to Wed 25 Nov`. */
export function nightName(night: Pick<NightSpan, 'dusk' | 'dawn'>, speech: Speech): string {
  return `Night of ${day(night.dusk, speech)} to ${day(night.dawn, speech)}`
}

/** Said where the clocks change: the night has an hour more or less. */
export function nightLength(night: Pick<NightSpan, 'from' | 'to'>): string | null {
  const hours = (night.to - night.from) / (60 * minuteMs)
  return hours === 24 ? null : `This night has ${hours} hours: the clocks changed.`
}

export function outageSays(outage: NightOutage, speech: Speech): string {
  const when = `${fromTo(outage.from, outage.to, speech)} (${duration(outage.to - outage.from)})`
  if (outage.isGateway) return `Cirewatch itself did not run ${when}; what instruments kept came later`
  const names = (isBackfilled: boolean) =>
    outage.instruments.filter((i) => i.isBackfilled === isBackfilled).map((i) => speech.nameOf(i.instrument))
  const [kept, lost] = [names(true), names(false)]
  const told = [
    ...(kept.length > 0 ? [`${listed(kept, 4)} kept and sent later`] : []),
    ...(lost.length > 0 ? [`of ${listed(lost, 4)} nothing is known`] : []),
  ]
  return `${count(outage.instruments.length, 'instrument')} silent ${when}: ${told.join('; ')}`
}

export function pieceSays(piece: NightPiece, speech: Speech): string {
  const out = piece.seenMs - piece.inBandMs
  const unseen = piece.standsMs - piece.seenMs
  if (piece.seenMs === 0) return 'nothing of it was seen'
  const parts = [
    out >= minuteMs
      ? `out of band for ${duration(out)}`
      : unseen < minuteMs
        ? 'in band all the time'
        : 'in band all the time that was seen',
    ...(unseen >= minuteMs ? [`unseen for ${duration(unseen)}`] : []),
  ]
  if (piece.swingC !== null && piece.swingLimitC !== null)
    parts.push(
      `wax ${piece.swingC > 0 ? `up to ${tenths(piece.swingC, speech)} above` : 'never above'} what it was at the dip, of ${tenths(piece.swingLimitC, speech)} allowed`,
    )
  return parts.join('; ')
}

/** Whether the night left something on this piece that somebody should look at; what nobody saw is not known to be well. */
export function isTouched(piece: NightPiece): boolean {
  const swung = piece.swingC !== null && piece.swingLimitC !== null && piece.swingC > piece.swingLimitC
  return swung || piece.seenMs - piece.inBandMs >= shortMs || piece.standsMs - piece.seenMs >= unseenMs
}

/** This night among those before it. */
export function comparedSays(c: { nights: number; quieter: number; usualMs: DurationMs; thisMs: DurationMs }): string {
  const nights = c.nights === 1 ? 'the night before it' : `the last ${c.nights} nights`
  const out = (ms: DurationMs) => (ms < minuteMs ? 'not at all' : `for ${duration(ms)}`)
  const rank =
    c.quieter === 0
      ? `No night of ${nights} was quieter.`
      : c.quieter === c.nights
        ? `Every one of ${nights} was quieter.`
        : `${sentenceCase(numberWord(c.quieter))} of ${nights} ${c.quieter === 1 ? 'was' : 'were'} quieter.`
  return `Noon to noon out of band ${out(c.thisMs)}; usual is ${out(c.usualMs)}. ${c.nights === 1 ? '' : rank}`.trim()
}
