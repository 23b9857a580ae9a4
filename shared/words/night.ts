/** A night in words: three sentences first, then each cause, excursion, outage and piece. */
import type {
  CauseEvidence,
  FindingKind,
  NamedCause,
  NightAlarm,
  NightCauseKind,
  NightExcursion,
  NightLine,
  NightOutage,
  NightPiece,
  NightReview,
  NightRoom,
  NightSpan,
  SeenBy,
} from '../contract/index.ts'
import { type Spelt, spellsOf } from '../series/spells.ts'
import { type DurationMs, type EpochMs, minuteMs } from '../time.ts'
import { amount, count, day, duration, sentenceCase, type Speech, temperatureDifference, timeOfDay } from './speech.ts'

/** Below this nobody can say that a night was quiet. */
const seenEnough = 0.9
/** So short is no disturbance of a night. Common practice, no source. */
const shortMs = 10 * minuteMs

const percent = (share: number) => `${share >= 0.9995 ? '100' : (100 * share).toFixed(share >= 0.995 ? 1 : 0)} %`
const machineWords: Partial<Record<NightCauseKind, string>> = {
  dehumidifier: 'the dehumidifier',
  cooling: 'the cooling',
  heating: 'the heating',
}

/** `a, b and c`; beyond `most`, how many more. */
function listed(all: readonly string[], most: number): string {
  const shown = all.length > most ? [...all.slice(0, most), `${all.length - most} more`] : [...all]
  const last = shown.pop() ?? ''
  return shown.length === 0 ? last : `${shown.join(', ')} and ${last}`
}

function fromTo(from: EpochMs, to: EpochMs | null, speech: Speech): string {
  return to === null
    ? `from ${timeOfDay(from, speech)} on`
    : `from ${timeOfDay(from, speech)} to ${timeOfDay(to, speech)}`
}

/** A cause as part of a sentence, with its room: `the door of D2 stood open from 21:40 to 23:10`. */
export function causeSays(cause: NamedCause, station: string, speech: Speech): string {
  const room = speech.nameOf(station)
  const when = fromTo(cause.from, cause.to, speech)
  const perhaps = cause.confidence === 'sure' ? '' : 'probably '
  const machine = machineWords[cause.kind]
  if (machine !== undefined) {
    const again = cause.evidence.some((e) => e.is === 'after-power-cut')
    return again
      ? `${perhaps}${machine} of ${room} did not start again after the power cut (${when})`
      : `${perhaps}${machine} of ${room} did not run ${when}`
  }
  switch (cause.kind) {
    case 'door':
      return `${perhaps}the door of ${room} stood open ${when}`
    case 'fan':
      return `${perhaps}the fan of ${room} stood still ${when}`
    case 'power-cut':
      return `${perhaps}the power was gone ${when}`
    case 'sensor':
      return `${perhaps}the probe of ${room} could not be believed ${when}`
    default:
      return `in ${room} something happened ${when}; its cause is not known`
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
    case 'door-shut':
      return 'the door’s contact said shut'
    case 'fan-still':
      return `the fan drew no current for ${duration(value * minuteMs)}`
    case 'fan-runs':
      return 'the fan drew its usual current'
    case 'wax-warmer':
      return `the wax lost ${percent(value)} of the wet bulb’s chill at once`
    case 'many-silent':
      return `${count(value, 'instrument')} fell silent together`
    case 'other-probe-agrees':
      return 'the other probe saw the same'
    case 'other-probe-differs':
      return `the other probe was ${degrees(value, speech)} apart`
    case 'pinned':
      return `it stood at ${value.toFixed(0)} % without moving`
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
  'not-known': 'nothing else',
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

export type NightSpell = Spelt<NightExcursion>

function peakText(line: NightLine, spell: NightSpell, speech: Speech): string {
  return `${spell.side === 'above' ? 'highest' : 'lowest'} ${amount(line.quantity, spell.peak, speech).replace(' humidity', '')}`
}

const quantityWord = { temperature: 'temperature', humidity: 'humidity' } as const

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
  if (seenBy.length === 0) return 'seen by nobody'
  return `seen by ${listed(
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
  const parts = [
    out < minuteMs ? 'in band all the time that was seen' : `out of band for ${duration(out)}`,
    ...(unseen >= minuteMs ? [`unseen for ${duration(unseen)}`] : []),
  ]
  if (piece.swingC !== null && piece.swingLimitC !== null)
    parts.push(
      `wax ${piece.swingC > 0 ? `up to ${degrees(piece.swingC, speech)} above` : 'never above'} what it was at the dip, of ${degrees(piece.swingLimitC, speech)} allowed`,
    )
  return parts.join('; ')
}

/** Whether the night left something on this piece that somebody should look at. */
export function isTouched(piece: NightPiece): boolean {
  const swung = piece.swingC !== null && piece.swingLimitC !== null && piece.swingC > piece.swingLimitC
  return swung || piece.seenMs - piece.inBandMs >= shortMs
}

interface DarkSpell {
  room: NightRoom
  line: NightLine
  spell: NightSpell
}

/** Of the probes that stand for their rooms, what left its band in the dark hours, in order. */
function darkSpells(review: NightReview): DarkSpell[] {
  return review.rooms
    .flatMap((room) =>
      room.lines
        .filter((l) => l.isLeading)
        .flatMap((line) => spellsOf(line.excursions.filter((e) => e.isDark)).map((spell) => ({ room, line, spell }))),
    )
    .sort((a, b) => a.spell.from - b.spell.from)
}

function firstSentence(review: NightReview, speech: Speech): string {
  const { night, rooms } = review
  if (night.upTo <= night.dusk) return `The night has not begun; dusk is at ${timeOfDay(night.dusk, speech)}.`
  const leading = rooms.flatMap((room) => room.lines.filter((l) => l.isLeading).map((line) => ({ room, line })))
  if (leading.length === 0) return 'No dry room is watched: there is nothing to review.'
  const [blind] = leading
    .filter(({ line }) => (line.dark?.coverage ?? 0) < seenEnough)
    .sort((a, b) => (a.line.dark?.coverage ?? 0) - (b.line.dark?.coverage ?? 0))
  const many = rooms.length === 2 ? 'Both rooms were' : `All ${count(rooms.length, '').trim()} rooms were`
  const all = rooms.length === 1 ? `${speech.nameOf(rooms[0]?.station ?? '')} was` : many
  const soFar = night.upTo < night.dawn ? ' so far' : ''
  const dark = darkSpells(review)
  if (blind)
    return `Nobody can say whether it was quiet: of ${speech.nameOf(blind.room.station)} only ${percent(blind.line.dark?.coverage ?? 0)} of the dark hours was seen${dark.length > 0 ? `, with ${count(dark.length, 'excursion')} in it` : ''}.`
  const long = dark.filter(({ spell }) => spell.outMs >= shortMs)
  const [first] = long
  if (!first) {
    const longest = dark.reduce((most, { spell }) => Math.max(most, spell.outMs), 0)
    return dark.length === 0
      ? `Quiet night${soFar}: ${all.charAt(0).toLowerCase()}${all.slice(1)} in band.`
      : `Quiet night${soFar}: longest excursion ${duration(longest)}.`
  }
  const peak = peakText(first.line, first.spell, speech)
  const left = `${speech.nameOf(first.room.station)} ${quantityWord[first.line.quantity]} left its band for ${duration(first.spell.outMs)} (${peak})`
  const more = long.slice(1)
  const longest = more.reduce((most, { spell }) => Math.max(most, spell.outMs), 0)
  const then =
    more.length === 0 ? '' : `; after that ${count(more.length, 'more excursion')}, the longest ${duration(longest)}`
  return `Quiet until ${timeOfDay(first.spell.from, speech)}, when ${left}${then}.`
}

/** The same cut is felt in every room: it is told once. */
function onceEach(review: NightReview): { cause: NamedCause; station: string }[] {
  const all = review.rooms.flatMap((room) => room.causes.map((cause) => ({ cause, station: room.station })))
  return all
    .filter(({ cause }) => (cause.to ?? Infinity) > review.night.dusk && cause.from < review.night.dawn)
    .filter(
      ({ cause }, i) =>
        cause.kind !== 'power-cut' ||
        all.findIndex((o) => o.cause.kind === 'power-cut' && Math.abs(o.cause.from - cause.from) < 5 * minuteMs) === i,
    )
    .sort((a, b) => a.cause.from - b.cause.from)
}

function secondSentence(review: NightReview, speech: Speech): string {
  const causes = onceEach(review)
  const unexplained = darkSpells(review).filter(({ spell }) => spellCause(spell) === null && spell.outMs >= shortMs)
  if (causes.length === 0)
    return unexplained.length === 0 ? 'Nothing happened in the rooms that needs a name.' : 'What made it is not known.'
  const rest = unexplained.length > 0 ? `; ${count(unexplained.length, 'excursion')} without a known cause` : ''
  return `${sentenceCase(
    listed(
      causes.map(({ cause, station }) => causeSays(cause, station, speech)),
      4,
    ),
  )}${rest}.`
}

const isWaiting = (a: NightAlarm) => a.seenBy.length === 0

function thirdSentence(review: NightReview, speech: Speech): string {
  const pieces = review.rooms.flatMap((r) => r.pieces)
  const touched = pieces.filter(isTouched).map((p) => p.piece ?? p.run)
  const lasting = onceEach(review).filter(({ cause }) => cause.to === null && cause.kind !== 'power-cut')
  const urgent = review.alarms.filter((a) => a.tier === 'act-now')
  const unseen = review.alarms.filter(isWaiting)
  const parts = [
    ...(touched.length > 0 ? [`look at ${listed(touched, 3)} before the next dip`] : []),
    ...(lasting.length > 0
      ? [
          `see to ${listed([...new Set(lasting.map(({ station }) => speech.nameOf(station)))], 3)}, where it still lasts`,
        ]
      : []),
    ...(urgent.length > 0
      ? [
          `${count(urgent.length, 'urgent alarm')} (${listed([...new Set(urgent.map((a) => speech.nameOf(a.station)))], 3)})`,
        ]
      : []),
    ...(unseen.length > 0 ? [`${count(unseen.length, 'alarm')} nobody has answered`] : []),
  ]
  return parts.length === 0 ? 'Nothing is left to do.' : `${sentenceCase(parts.join('; '))}.`
}

/** What the owner reads first: how the night was, why, and what is left to do. */
export function nightBrief(review: NightReview, speech: Speech): [string, string, string] {
  return [firstSentence(review, speech), secondSentence(review, speech), thirdSentence(review, speech)]
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
        : `${sentenceCase(count(c.quieter, '').trim())} of ${nights} ${c.quieter === 1 ? 'was' : 'were'} quieter.`
  return `Noon to noon out of band ${out(c.thisMs)}; usual is ${out(c.usualMs)}. ${c.nights === 1 ? '' : rank}`.trim()
}

const findingNames: Record<FindingKind, string> = {
  'above-ceiling': 'above its ceiling',
  'outside-window': 'outside its limits',
  'rising-too-fast': 'rising too fast',
  'gone-quiet': 'an instrument gone quiet',
  'instrument-fault': 'an instrument unable to measure',
  'clock-wrong': 'a wrong clock',
  'conflicting-reading': 'two values for one instant',
  'off-recipe': 'off its recipe',
  'outside-recipe-band': 'outside the band of its recipe',
  'coat-outside-window': 'a coat outside its window',
  'coat-off-wait': 'a coat too soon or too late',
  'nearing-ceiling': 'nearing its ceiling',
  'no-cut-off': 'a heater that did not cut off',
  'left-on': 'left on',
  'wax-old': 'old wax',
  'soak-paused': 'a soak that was not counted',
  'leaves-early': 'a hold left too soon',
  'heat-lost': 'without heat',
  'band-too-fast': 'too fast through a band',
  'hand-due': 'a step for somebody',
  'instrument-doubt': 'an instrument in doubt',
  'check-due': 'a check that is due',
}

/** A kind of finding as a few words, for a list. */
export const findingName = (kind: FindingKind): string => findingNames[kind]
