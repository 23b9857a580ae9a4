/** The review of a night as a letter: the brief first, then room by room what the page says, in plain lines. */
import type { NightLine, NightPiece, NightReview, NightRoom, Site } from '../contract/index.ts'
import { spellsOf } from '../series/spells.ts'
import type { EpochMs } from '../time.ts'
import { nightBrief } from './night.ts'
import { becauseSays, causeSays } from './night-cause.ts'
import {
  alarmStood,
  alarmWas,
  amendedSays,
  mostUrgentFirst,
  nightAuthorisesNothing,
  nightLineSays,
} from './night-lines.ts'
import {
  type NightSpell,
  nightLength,
  nightName,
  outageSays,
  pieceSays,
  quantityWord,
  seenBySays,
  spellCause,
  spellSays,
  spellSeenBy,
} from './night-parts.ts'
import { moment, sentenceCase, type Speech } from './speech.ts'

export interface Letter {
  subject: string
  /** Above everything else where what it tells is invented; null where it is not. */
  invented: string | null
  title: string
  top: string[]
  link: string | null
  parts: { title: string; lines: string[] }[]
  bottom: string[]
}

export interface LetterWish {
  site: Pick<Site, 'name' | 'invented'>
  now: EpochMs
  /** Address of the page of this night; null where nobody has said where it is. */
  link: string | null
  /** Where it goes long after its hour: when that was, and whether Cirewatch itself was not running then. */
  late: { dueAt: EpochMs; wasOff: boolean } | null
}

/** Lines of one kind in one part; the rest stands on the page. */
const linesMax = 12

/**
 * What was written by somebody or came with a name, as one line: no line break reaches a header of the mail, no sign that turns the
 * direction of writing makes a line read otherwise than it is.
 */
export function oneLine(text: string): string {
  return text
    .replace(/[\p{Cc}\u2028\u2029]+/gu, ' ')
    .replace(/[\u200e\u200f\u202a-\u202e\u2066-\u2069]/g, '')
    .replace(/ {2,}/g, ' ')
    .trim()
}

function few(lines: readonly string[]): string[] {
  const more = lines.length - linesMax
  return more > 0 ? [...lines.slice(0, linesMax), `and ${more} more`] : [...lines]
}

/** Causes of a room are called A, B, C, as on the page. */
const causeLetter = (index: number) => String.fromCharCode(65 + index)

function spellLine(room: NightRoom, line: NightLine, spell: NightSpell, speech: Speech): string {
  const cause = spellCause(spell)
  const why = cause === null ? 'cause not known' : `cause ${causeLetter(cause)}`
  const byDay = spell.parts.some((p) => p.isDark) ? '' : ', by day'
  return `${sentenceCase(spellSays(room.station, line, spell, speech))}${byDay}; ${why}; ${seenBySays(spellSeenBy(spell), speech)}.`
}

function pieceLine(piece: NightPiece, now: EpochMs, speech: Speech): string {
  const name = piece.piece ?? speech.nameOf(piece.recipe)
  return `${name}, since ${moment(piece.startedAt, now, speech)} by ${piece.startedBy}: ${pieceSays(piece, speech)}.`
}

function roomLines(room: NightRoom, now: EpochMs, speech: Speech): string[] {
  const leading = room.lines.filter((l) => l.isLeading)
  return [
    ...leading.map((l) => `${sentenceCase(quantityWord[l.quantity])}: ${nightLineSays(l)}.`),
    ...leading.flatMap((l) => few(spellsOf(l.excursions).map((spell) => spellLine(room, l, spell, speech)))),
    ...few(
      room.causes.map(
        (c, i) => `${causeLetter(i)}: ${sentenceCase(causeSays(c, room.station, speech))}. ${becauseSays(c, speech)}`,
      ),
    ),
    ...few(room.pieces.map((p) => pieceLine(p, now, speech))),
  ]
}

function lateSays({ dueAt, wasOff }: NonNullable<LetterWish['late']>, now: EpochMs, speech: Speech): string {
  const due = moment(dueAt, now, speech)
  return wasOff
    ? `This mail is late: it was due at ${due}, when Cirewatch itself did not run.`
    : `This mail is late: it was due at ${due} and could not be sent then.`
}

export function nightLetter(review: NightReview, speech: Speech, { site, now, link, late }: LetterWish): Letter {
  const brief = nightBrief(review, speech)
  const name = nightName(review.night, speech)
  const length = nightLength(review.night)
  const alarms = mostUrgentFirst(review.alarms).map(
    (a) => `${alarmStood(a, speech)} ${speech.nameOf(a.station)}: ${alarmWas(a, speech)}.`,
  )
  const outages = review.outages.map((o) => `${sentenceCase(outageSays(o, speech))}.`)
  const parts = [
    ...review.rooms.map((r) => ({ title: speech.nameOf(r.station), lines: roomLines(r, now, speech) })),
    { title: 'Alarms', lines: alarms.length === 0 ? ['None.'] : few(alarms) },
    ...(outages.length === 0 ? [] : [{ title: 'What was not seen', lines: few(outages) }]),
  ]
  return {
    subject: oneLine(`${site.invented ? '[Invented] ' : ''}${name}: ${brief[0]}`),
    invented: site.invented
      ? 'Invented foundry – demonstration. No real wax, kiln or person stands behind these numbers.'
      : null,
    title: oneLine(`${name}, ${site.name}`),
    top: [
      ...brief,
      ...(late ? [lateSays(late, now, speech)] : []),
      ...(length === null ? [] : [length]),
      ...(review.amended ? [`Amended. ${amendedSays(review.amended, now, speech)}`] : []),
    ].map(oneLine),
    link,
    parts: parts.map(({ title, lines }) => ({ title: oneLine(title), lines: lines.map(oneLine) })),
    bottom: [
      'The night is attached as a table (CSV) and whole (JSON). Readings that come later amend it: the page says so then, no second mail does.',
      `Cirewatch watches and warns. ${nightAuthorisesNothing}`,
    ],
  }
}
